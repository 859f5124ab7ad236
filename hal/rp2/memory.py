"""A block of memory that a restart of the chip leaves alone. Used by make; DMA's other memory is ring.block's.

The chip's RAM keeps its content through a restart by the watchdog or by software, and MicroPython does not
clear its heap when it starts; but the new run's first objects land at the heap's low end. So the block is laid
at the high end, and a scratch register of the watchdog, which only loss of power clears, says where it lies.
"""

import gc

import uctypes
from machine import mem32
from micropython import const

from hal.rp2.ring import block

_SCRATCH = {"rp2040": 0x4005800C, "rp2350": 0x400D800C}  # WATCHDOG: SCRATCH0; the SDK uses 4 to 7
_MARK = const(0xD51)
_STEP = const(2048)


def kept(chip):
    """The address of the block that the last run kept, or 0: after power-up, or where it kept none."""
    word = mem32[_SCRATCH[chip]]
    return 0x20000000 | (word & 0xFFFFF) if (word >> 20) & 0xFFF == _MARK else 0


def keep(chip, size):
    """As block(), at the high end of the heap, for kept() to find after a restart. What the last run kept
    is overwritten. Call it early: a heap in use has no long free stretch to skip."""
    gc.collect()
    most = gc.mem_free() - size
    made = None
    while made is None:
        most -= _STEP
        made = _above(most, size)
    gc.collect()
    mem32[_SCRATCH[chip]] = _MARK << 20 | (made[0] & 0xFFFFF)
    return made


def _above(most, size):
    """A block above `most` bytes of heap that are in nobody's use, or None where there is no room for both. With
    nothing left to skip the block is laid anywhere. Errors: MemoryError."""
    if most <= 0:
        return block(size)
    try:
        below = [bytearray(most)]
        made = block(size)
        while made[0] < uctypes.addressof(below[0]):  # it found a hole: leave that filled and look further up
            below.append(made[1])
            made = block(size)
        return made
    except MemoryError:
        return None
