"""A DMX512 port of the RP2040 or RP2350: out by a PIO program and two chained DMA channels, in by hal/rp2/ear.

Three records in memory each describe one packet: four transfers (head, slots, waits, and the way back) and a
frame. The control channel writes one transfer after another into the data channel's registers; the last
transfer writes the word at _NEXT, the address of the newest record, into the control channel's own register.
So packets follow each other for ever without the processor, and a new frame is one word written.
A third record is always free: neither the newest nor the one being sent (hal/contract.Line.send never waits).
"""

from machine import Pin, mem32
from micropython import const
from rp2 import DMA, StateMachine
from uctypes import bytearray_at

from firmware.wire import dmx
from hal.rp2.program import SENDS_HZ, sends
from hal.rp2.ring import block, queue

try:  # machine code where the port has an emitter for it
    from hal.rp2 import words_viper as words
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2 import words

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3 = const(0x30)  # CTRL, WRITE_ADDR, TRANS_COUNT, READ_ADDR with trigger: 16 bytes
_AL3_READ_TRIGGER = const(0x3C)
_NO_REQUEST = const(0x3F)

_RECORDS = const(3)
_RECORD = const(80)  # 4 transfers of 16 bytes, then the words that they read
_REST, _HEAD, _MARK, _WAIT = const(64), const(68), const(72), const(76)
_NEXT = const(240)
_GUARD = const(244)
_FRAMES = const(256)
_FRAME = const(516)  # start code, 512 slots, rounded up
_INTACT = const(0x1F512E11)
SIZE = const(256 + 3 * 516)

# What lies in `sends` beside the loops counted by its words, in µs.
_IDLE_US = const(6)
_BREAK_US = const(2)
_MARK_US = const(9)
_WAIT_US = const(50)  # a wait between packets is cut into these, so that a new frame is late by 5 of them at most


def held_in(address):
    """The slots of the newest record in a block of SIZE bytes that an earlier run left at address: bytes, or
    None if what is there does not hang together."""
    newest = mem32[address + _NEXT] - address
    if mem32[address + _GUARD] != _INTACT or newest % _RECORD or not 0 <= newest < _RECORDS * _RECORD:
        return None
    frame = address + _FRAMES + newest // _RECORD * _FRAME
    count = mem32[address + newest + 24] - 1  # of its second transfer
    if mem32[address + newest + 28] != frame or not dmx.SLOTS_MIN <= count <= dmx.SLOTS_MAX:
        return None
    return bytes(bytearray_at(frame + 1, count))


class Line:
    """machine: the state machine that sends; tx, drive: pin numbers, drive may be None; kept: (address, bytearray)
    of SIZE bytes from hal/rp2/memory, or None: then the first send() takes memory, and a restart forgets what it
    holds; ear: hal/rp2/ear.Ear or None; held: what held() returns."""

    def __init__(self, machine, tx, drive, kept=None, ear=None, held=None):
        self._memory = None
        self._held, self._ear = held, ear
        self.has_input = ear is not None
        self._tx = Pin(tx)
        self._driver = None if drive is None else Pin(drive, Pin.OUT, value=0)
        self._machine = StateMachine(machine)
        self._queue, self._request = queue(machine, 0)
        self._data, self._control = DMA(), DMA()
        self._newest = -1  # record; none before the first send()
        self._built = [0] * _RECORDS  # what each record was written for: slots and timing
        self._version = 0
        self._going = False
        self._drive = True
        if kept:
            self._lay(kept)
        self.timing()

    # -- out

    def send(self, slots):
        count = len(slots)
        dmx.check_slots(count)
        if not self._memory:
            self._lay(block(SIZE))
        n = self._free()
        words.copy(self._memory, _FRAMES + n * _FRAME + 1, slots, count)
        self._queue_record(n, count)

    def timing(self, hz=0, break_us=dmx.BREAK_US, mark_us=dmx.MARK_US):
        dmx.check_timing(hz, break_us, mark_us)
        self._hz, self._break_us, self._mark_us = hz, break_us, mark_us
        self._version += 1
        if self._memory and self._newest >= 0:
            self.send(bytes(self._memory[self._frame(self._newest) + 1 :][: self._built[self._newest] & 1023]))

    def held(self):
        return self._held

    @property
    def drive(self):
        return self._drive

    @drive.setter
    def drive(self, on):
        if on == self._drive:
            return
        self._drive = on
        if not on:
            self._stop()
        if self._ear:
            self._ear.listen(not on)
        if on and self._newest >= 0:
            self._start()

    # -- in

    @property
    def every(self):
        return bool(self._ear) and self._ear.receiver.every

    @every.setter
    def every(self, on):
        if self._ear:
            self._ear.receiver.every = on

    @property
    def counts(self):
        return self._ear.receiver.counts if self._ear else {}

    def received(self):
        return None if self._drive or not self._ear else self._ear.take()

    # -- records

    def _lay(self, memory):
        self._address, self._memory = memory
        mem32[self._address + _GUARD] = 0
        for n in range(_RECORDS):
            self._memory[_FRAMES + n * _FRAME] = dmx.START_CODE

    def _frame(self, n):
        return _FRAMES + n * _FRAME

    def _free(self):
        """A record that is neither the newest nor being sent. The control channel reads in the latter's, or
        just after it; from there it can only go to the newest."""
        sending = (self._control.read - self._address) // _RECORD if self._going else -1
        n = 0
        while n == self._newest or n == sending:
            n += 1
        return n

    def _queue_record(self, n, count):
        """Record n, with its frame filled, is the next to be sent."""
        asked = self._version << 10 | count
        if self._built[n] != asked:
            self._write(n, count)
            self._built[n] = asked
        mem32[self._address + _NEXT] = self._address + n * _RECORD
        self._newest = n
        if self._drive and not self._going:
            self._start()

    def _write(self, n, count):
        """Write record n for a number of slots and the present timing."""
        record = self._address + n * _RECORD
        wait = dmx.idle_us(count, self._hz, self._break_us, self._mark_us)
        wait = max(wait, _IDLE_US) if wait else 0
        waits = max(0, wait - _IDLE_US) // _WAIT_US
        mem32[record + _REST] = _waiting(wait - waits * _WAIT_US)
        mem32[record + _HEAD] = count << 1 | (self._break_us - _BREAK_US) << 11
        mem32[record + _MARK] = self._mark_us - _MARK_US
        mem32[record + _WAIT] = _waiting(_WAIT_US)
        first = _REST if wait else _HEAD
        at = self._transfer(record, 2, True, (_WAIT - first) // 4, record + first)
        at = self._transfer(at, 0, True, count + 1, self._address + self._frame(n))
        if waits:
            at = self._transfer(at, 2, False, waits, record + _WAIT)
        self._way_back(at)

    def _transfer(self, at, size, advance, count, read):
        """Write one transfer into the program's queue at address `at`: the address after it."""
        mem32[at] = self._data.pack_ctrl(
            size=size, inc_read=advance, inc_write=False, chain_to=self._control.channel,
            treq_sel=self._request, irq_quiet=True)
        mem32[at + 4] = self._queue
        mem32[at + 8] = count
        mem32[at + 12] = read
        return at + 16

    def _way_back(self, at):
        """Write the transfer that sends the control channel to the newest record."""
        mem32[at] = self._data.pack_ctrl(
            size=2, inc_read=False, inc_write=False, chain_to=self._data.channel, treq_sel=_NO_REQUEST,
            irq_quiet=True)
        mem32[at + 4] = _DMA + _CHANNEL * self._control.channel + _AL3_READ_TRIGGER
        mem32[at + 8] = 1
        mem32[at + 12] = self._address + _NEXT

    # -- starting and stopping

    def _start(self):
        self._machine.init(sends, freq=SENDS_HZ, out_base=self._tx, set_base=self._tx)
        self._machine.active(1)
        if self._driver:
            self._driver.value(1)
        control = self._control
        control.config(
            read=self._address + self._newest * _RECORD, write=_DMA + _CHANNEL * self._data.channel + _AL3,
            count=4, trigger=True,
            ctrl=control.pack_ctrl(size=2, inc_read=True, inc_write=True, ring_sel=True, ring_size=4,
                                   chain_to=control.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
        mem32[self._address + _GUARD] = _INTACT
        self._going = True

    def _stop(self):
        """Break off: the line is no longer driven, and starts with a whole packet when it is again. The enable
        bits go before the aborts: an abort may start what a channel is chained to."""
        if self._driver:
            self._driver.value(0)
        for channel in (self._control, self._data):
            channel.ctrl = channel.pack_ctrl(enable=False)
        for channel in (self._control, self._data):
            channel.active(0)
        self._machine.active(0)
        self._going = False


def _waiting(us):
    """The word that lets `sends` wait; us: IDLE_US and up, or 0 where the word is not sent."""
    return 1 | max(0, us - _IDLE_US) << 1
