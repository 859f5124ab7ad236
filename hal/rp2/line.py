"""A DMX512 port of the RP2040 or RP2350: out by a PIO program and two chained DMA channels, in by hal/rp2/line_in.

Three records in memory each describe one packet (hal/rp2/line_records). The control channel writes one transfer after
another into the data channel's registers; the last transfer writes the word NEXT, the address of the newest record,
into the control channel's own register. So packets follow each other for ever without the processor, and a new frame
is one word written. A third record is always free: neither the newest nor the one being sent (send() never waits).
"""

from machine import Pin, mem32
from micropython import const
from rp2 import DMA, StateMachine

from firmware.wire.dmx import BREAK_US, MARK_US
from hal.line import Port
from hal.rp2.dma_ring import block
from hal.rp2.line_records import FIRST, FRAME, RECORD
from hal.rp2.pio_programs import DMX_OUT_HZ, dmx_out

try:  # machine code where the port has an emitter for it
    from hal.rp2.line_words_viper import copy
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.line_words import copy

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3 = const(0x30)  # CTRL, WRITE_ADDR, TRANS_COUNT, READ_ADDR with trigger: 16 bytes
_NO_REQUEST = const(0x3F)


class Line(Port):
    """machine: the state machine that sends; tx, drive: pin numbers, drive may be None; memory: (address, bytearray)
    of line_records.SIZE bytes from RestartMemory.store, or None: then the first send() takes memory that a restart
    forgets; line_in: hal/rp2/line_in.LineIn or None; held: what held() returns.

    hal/rp2/line_records sets address, memory, times and written, and reads number, data and control."""

    rdm = "hal.rp2.rdm"

    def __init__(self, machine, tx, drive, memory=None, line_in=None, held=None):
        super().__init__(line_in, held)
        self._tx = Pin(tx)
        self._drive_pin = None if drive is None else Pin(drive, Pin.OUT, value=0)
        self._machine = StateMachine(machine)
        self.number = machine
        self.data, self.control = DMA(), DMA()
        self.address, self.memory, self.written = 0, None, [-1]
        self.timing()
        if memory:
            from hal.rp2.line_records import lay

            lay(self, memory)

    # Machine code on the chips.
    def send(self, slots):
        count = len(slots)
        if not self.memory:
            from hal.rp2.line_records import SIZE, lay

            lay(self, block(SIZE))
        n = self._free()
        if self.written[n] != count:
            from hal.rp2.line_records import write

            write(self, n, count)
        copy(self.memory, FIRST + n * RECORD + FRAME + 1, slots, count)
        mem32[self.address] = self.address + FIRST + n * RECORD
        self._newest = n
        if self._drive and not self._sending:
            self._start()

    def timing(self, hz=0, break_us=BREAK_US, mark_us=MARK_US):
        from hal.rp2.line_records import set_timing

        slots = set_timing(self, hz, break_us, mark_us)
        if slots:
            self.send(slots)

    # Machine code on the chips.
    def _free(self):
        """A record that is neither the newest nor being sent. The control channel reads in the latter's, or
        just after it; from there it can only go to the newest."""
        current = (self.control.read - self.address - FIRST) // RECORD if self._sending else -1
        n = 0
        while n == self._newest or n == current:
            n += 1
        return n

    def _start(self):
        self._machine.init(dmx_out, freq=DMX_OUT_HZ, out_base=self._tx, set_base=self._tx)
        self._machine.active(1)
        if self._drive_pin:
            self._drive_pin.value(1)
        control = self.control
        control.config(
            read=mem32[self.address], write=_DMA + _CHANNEL * self.data.channel + _AL3, count=4, trigger=True,
            ctrl=control.pack_ctrl(size=2, inc_read=True, inc_write=True, ring_sel=True, ring_size=4,
                                   chain_to=control.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
        self._sending = True

    def _stop(self):
        """Break off: the line is no longer driven, and begins with a whole packet when it is driven again. The enable
        bits go before the aborts: an abort may start what a channel is chained to."""
        if self._drive_pin:
            self._drive_pin.value(0)
        for channel in (self.control, self.data):
            channel.ctrl = channel.pack_ctrl(enable=False)
        for channel in (self.control, self.data):
            channel.active(0)
        self._machine.active(0)
        self._sending = False
