"""Two DMA channels that carry what a state machine pushes into a ring of memory for ever. Used by ear and knob.

The first fills the ring and hands over to the second, which sets it back to the beginning. The second reads that
address from eight equal words in turn, so where it reads tells how often the ring has been filled.
"""

import uctypes
from machine import mem32
from micropython import const
from rp2 import DMA

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_WRITE_TRIGGER = const(0x2C)  # AL2_WRITE_ADDR_TRIG
_LAPS = const(8)  # after so many rings the count begins again
_POINTERS = const(5)  # log2 of their 32 bytes


def queue(machine, receive):
    """(address of the state machine's queue, its DMA request). machine: 0..; receive: True for RX."""
    block, number = machine // 4, machine % 4
    return 0x50200010 + 0x100000 * block + 16 * receive + 4 * number, 8 * block + 4 * receive + number


def block(size):
    """(address, bytearray) of memory for DMA, 16 bytes aligned; the bytearray must be kept."""
    memory = bytearray(size)
    return uctypes.addressof(memory), memory


class Ring:
    """What state machine `machine` pushed. depth: items; width: bytes an item: 1, or 2: then the word's high half."""

    def __init__(self, machine, depth, width):
        self.depth = depth
        self._width = width
        self._queue, self._request = queue(machine, 1)
        self._queue += 2 * (width - 1)
        self._address, self.memory = block(depth * width)
        self._pointers, self._kept = block(4 * _LAPS + 16)
        self._pointers = (self._pointers + 4 * _LAPS - 1) & ~(4 * _LAPS - 1)  # DMA's ring wants them aligned
        for n in range(_LAPS):
            mem32[self._pointers + 4 * n] = self._address
        self._fill, self._again = DMA(), DMA()
        self.first = self._taken = 0

    def start(self):
        """Begin with an empty ring."""
        self.stop()
        fill, again = self._fill, self._again
        again.config(
            read=self._pointers, write=_DMA + _CHANNEL * fill.channel + _WRITE_TRIGGER, count=1,
            ctrl=again.pack_ctrl(size=2, inc_read=True, inc_write=False, ring_sel=False, ring_size=_POINTERS,
                                 chain_to=again.channel, treq_sel=0x3F, irq_quiet=True))
        fill.config(
            read=self._queue, write=self._address, count=self.depth, trigger=True,
            ctrl=fill.pack_ctrl(size=self._width - 1, inc_read=False, inc_write=True,
                                chain_to=again.channel, treq_sel=self._request, irq_quiet=True))
        self._taken = 0

    def stop(self):
        """Stop both channels. Their enable bits go first: an abort may start what a channel is chained to."""
        for channel in (self._fill, self._again):
            channel.ctrl = channel.pack_ctrl(enable=False)
        for channel in (self._fill, self._again):
            channel.active(0)

    def fresh(self):
        """How many new items there are; they begin at item `first` of the ring. Less than 0: read too late,
        some were lost; start() again."""
        count = (self._total() - self._taken) % (_LAPS * self.depth)
        self.first = self._taken % self.depth
        return count if count <= self.depth - self.depth // 8 else -1

    def done(self, count):
        """The first `count` of the new items were read."""
        self._taken = (self._taken + count) % (_LAPS * self.depth)

    def _total(self):
        """Items pushed since the start, counted round _LAPS times the ring."""
        laps = self._again.read
        place = self._fill.write
        if self._again.read != laps:  # the second channel stepped in between
            laps = self._again.read
            place = self._fill.write
        return (laps - self._pointers) // 4 * self.depth + (place - self._address) // self._width
