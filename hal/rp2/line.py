"""A DMX512 port of the RP2040 or RP2350: out by a PIO program and two chained DMA channels, in by hal/rp2/ear.

Three records in memory each describe one packet (hal/rp2/records). The control channel writes one transfer after
another into the data channel's registers; the last transfer writes the word NEXT, the address of the newest record,
into the control channel's own register. So packets follow each other for ever without the processor, and a new frame
is one word written. A third record is always free: neither the newest nor the one being sent (hal/contract.Line.send
never waits).
"""

from machine import Pin, mem32
from micropython import const
from rp2 import DMA, StateMachine

from firmware.wire.dmx import BREAK_US, MARK_US
from hal.rp2.program import SENDS_HZ, sends
from hal.rp2.records import FIRST, FRAME, RECORD
from hal.rp2.ring import block, queue

try:  # machine code where the port has an emitter for it
    from hal.rp2.words_viper import copy
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.words import copy

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3 = const(0x30)  # CTRL, WRITE_ADDR, TRANS_COUNT, READ_ADDR with trigger: 16 bytes
_NO_REQUEST = const(0x3F)


class Line:
    """machine: the state machine that sends; tx, drive: pin numbers, drive may be None; kept: (address, bytearray)
    of records.SIZE bytes from hal/rp2/memory, or None: then the first send() takes memory, and a restart forgets what
    it holds; ear: hal/rp2/ear.Ear or None; held: what held() returns."""

    def __init__(self, machine, tx, drive, kept=None, ear=None, held=None):
        self._held, self._ear = held, ear
        self.has_input = ear is not None
        self._tx = Pin(tx)
        self._driver = None if drive is None else Pin(drive, Pin.OUT, value=0)
        self._machine = StateMachine(machine)
        self.queue, self.request = queue(machine, 0)
        self.data, self.control = DMA(), DMA()
        self._newest = -1  # record; none before the first send()
        self._going = False
        self._drive = True
        self.memory = None
        self._counts = []
        self.timing()
        if kept:
            self._lay(kept)

    # -- out

    def send(self, slots):
        count = len(slots)
        if not self.memory:
            from hal.rp2.records import SIZE

            self._lay(block(SIZE))
        n = self._free()
        if self._counts[n] != count:
            self._write(n, count)
        copy(self.memory, FIRST + n * RECORD + FRAME + 1, slots, count)
        mem32[self.address] = self.address + FIRST + n * RECORD
        self._newest = n
        if self._drive and not self._going:
            self._start()

    def timing(self, hz=0, break_us=BREAK_US, mark_us=MARK_US):
        from firmware.wire.dmx import check_timing

        check_timing(hz, break_us, mark_us)
        self.times = hz, break_us, mark_us
        on = None
        if self.memory and self._newest >= 0:
            at = FIRST + self._newest * RECORD + FRAME + 1
            on = bytes(self.memory[at : at + self._counts[self._newest]])
        self._counts = [-1, -1, -1]  # of slots, that each record is written for
        if on:
            self.send(on)

    def held(self):
        held, self._held = self._held, None
        return held

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

    def _lay(self, kept):
        from hal.rp2.records import lay

        self.address, self.memory = kept
        self._counts = lay(self)

    def _write(self, n, count):
        from hal.rp2.records import write

        write(self, n, count)
        self._counts[n] = count

    def _free(self):
        """A record that is neither the newest nor being sent. The control channel reads in the latter's, or
        just after it; from there it can only go to the newest."""
        sending = (self.control.read - self.address - FIRST) // RECORD if self._going else -1
        n = 0
        while n == self._newest or n == sending:
            n += 1
        return n

    # -- starting and stopping

    def _start(self):
        self._machine.init(sends, freq=SENDS_HZ, out_base=self._tx, set_base=self._tx)
        self._machine.active(1)
        if self._driver:
            self._driver.value(1)
        control = self.control
        control.config(
            read=mem32[self.address], write=_DMA + _CHANNEL * self.data.channel + _AL3, count=4, trigger=True,
            ctrl=control.pack_ctrl(size=2, inc_read=True, inc_write=True, ring_sel=True, ring_size=4,
                                   chain_to=control.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
        self._going = True

    def _stop(self):
        """Break off: the line is no longer driven, and starts with a whole packet when it is again. The enable
        bits go before the aborts: an abort may start what a channel is chained to."""
        if self._driver:
            self._driver.value(0)
        for channel in (self.control, self.data):
            channel.ctrl = channel.pack_ctrl(enable=False)
        for channel in (self.control, self.data):
            channel.active(0)
        self._machine.active(0)
        self._going = False
