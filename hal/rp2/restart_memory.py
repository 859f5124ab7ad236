"""Memory that a restart of the chip leaves alone: the ports repeat their packets from it. Used by make, then dropped.

The chip's RAM holds its content through a restart by the watchdog or by software, and MicroPython does not
clear its heap when it starts; but the new run's first objects land at the heap's low end. So the block is laid
at the high end, and a scratch register of the watchdog, which only loss of power clears, says where it lies.
"""

import gc

import uctypes
from machine import mem32
from micropython import const

from hal.rp2.dma_ring import block
from hal.rp2.line_records import SIZE, held_in

_SCRATCH = {"rp2040": 0x4005800C, "rp2350": 0x400D800C}  # WATCHDOG: SCRATCH0; the SDK uses 4 to 7
_MARK = const(0xD51)  # of one port, one more of two
_STEP = const(2048)


class RestartMemory:
    """chip: "rp2040" or "rp2350"; ports: how many send. Make it before anything else takes memory."""

    def __init__(self, chip, ports):
        old, there = find(chip), _ports(chip)
        self._held = [held_in(old + port * SIZE) if port < there else None for port in range(ports)]
        self._address, memory = reserve(chip, ports * SIZE)
        self._memory = memoryview(memory)

    def held(self, port):
        """The slots that a port sent before the restart: bytes or None."""
        return self._held[port]

    def store(self, port):
        """The (address, memory) that a port repeats its packets from: what it sends is stored there by that alone."""
        at = port * SIZE
        return self._address + at, self._memory[at : at + SIZE]


def find(chip):
    """The address of the block that the last run reserved, or 0: after power-up, or where it reserved none."""
    return 0x20000000 | mem32[_SCRATCH[chip]] & 0xFFFFF if _ports(chip) else 0


def _ports(chip):
    """For how many ports the last run reserved a block, 0: none."""
    there = (mem32[_SCRATCH[chip]] >> 20 & 0xFFF) - _MARK + 1
    return there if 0 < there < 3 else 0


def reserve(chip, size):
    """As block(), at the high end of the heap, for find() to find after a restart. The last run's block is
    overwritten. Call it early: a heap in use has no long free stretch to skip."""
    gc.collect()
    most = gc.mem_free() - size
    made = None
    while made is None:
        most -= _STEP
        made = _above(most, size)
    gc.collect()
    mem32[_SCRATCH[chip]] = _MARK + (size > SIZE) << 20 | (made[0] & 0xFFFFF)
    return made


def _above(most, size):
    """A block above `most` bytes of heap that nobody uses, or None where there is no room for both. With nothing left
    to skip, the block is laid anywhere. Errors: MemoryError."""
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
