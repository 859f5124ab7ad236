"""Two DMA channels that carry what a state machine pushes into a ring of memory for ever. Used by line_in and knob.

The first fills the ring and triggers the second, which sets it back to the beginning. The second reads that address
from eight equal words one after the other, so its read address shows how often the ring has been filled.
"""

import uctypes
from machine import mem32
from micropython import const
from rp2 import DMA

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_WRITE_TRIGGER = const(0x2C)  # AL2_WRITE_ADDR_TRIG
_NO_REQUEST = const(0x3F)
_LAPS = const(8)  # times that the ring is filled before the count begins again
_POINTERS = const(5)  # log2 of their 32 bytes


def fifo(machine, receive):
    """(address of a state machine's FIFO, number of its DMA request). machine: 0..7; receive: 1 for RX, 0 for TX."""
    pio, number = machine // 4, machine % 4
    return 0x50200010 + 0x100000 * pio + 16 * receive + 4 * number, 8 * pio + 4 * receive + number


def block(size):
    """(address, bytearray) of memory for DMA, 16 bytes aligned. It is free again once nobody holds the bytearray."""
    memory = bytearray(size)
    return uctypes.addressof(memory), memory


class Ring:
    """What a state machine pushed. machine: its number; depth: in items; width: bytes an item: 1, or 2: then the
    word's high half."""

    def __init__(self, machine, depth, width):
        self.depth = depth
        self._width = width
        self._fifo, self._request = fifo(machine, 1)
        self._fifo += 2 * (width - 1)
        self._address, self.memory = block(depth * width)
        self._pointers, self._pointers_memory = block(4 * _LAPS + 16)
        self._pointers = (self._pointers + 4 * _LAPS - 1) & ~(4 * _LAPS - 1)  # DMA's ring wants them aligned
        for n in range(_LAPS):
            mem32[self._pointers + 4 * n] = self._address
        self._fill, self._reset = DMA(), DMA()
        self.first = self._done = 0  # items; the latter modulo _LAPS rings

    def start(self):
        """Begin with an empty ring."""
        self.stop()
        fill, reset = self._fill, self._reset
        reset.config(
            read=self._pointers, write=_DMA + _CHANNEL * fill.channel + _WRITE_TRIGGER, count=1,
            ctrl=reset.pack_ctrl(size=2, inc_read=True, inc_write=False, ring_sel=False, ring_size=_POINTERS,
                                 chain_to=reset.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
        fill.config(
            read=self._fifo, write=self._address, count=self.depth, trigger=True,
            ctrl=fill.pack_ctrl(size=self._width - 1, inc_read=False, inc_write=True,
                                chain_to=reset.channel, treq_sel=self._request, irq_quiet=True))
        self._done = 0

    def stop(self):
        """Stop both channels. Their enable bits go first: an abort may start what a channel is chained to."""
        for channel in (self._fill, self._reset):
            channel.ctrl = channel.pack_ctrl(enable=False)
        for channel in (self._fill, self._reset):
            channel.active(0)

    # Machine code on the chips.
    def fresh(self):
        """How many new items there are; they begin at item `first` of the ring. Below 0: it was read too late and some
        were lost; start() again."""
        laps = self._reset.read
        place = self._fill.write
        if self._reset.read != laps:  # the second channel acted in between
            laps = self._reset.read
            place = self._fill.write
        pushed = (laps - self._pointers) // 4 * self.depth + (place - self._address) // self._width
        count = (pushed - self._done) % (_LAPS * self.depth)
        self.first = self._done % self.depth
        return count if count <= self.depth - self.depth // 8 else -1

    # Machine code on the chips.
    def done(self, count):
        """Mark the first `count` of the new items as read."""
        self._done = (self._done + count) % (_LAPS * self.depth)
