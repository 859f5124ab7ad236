"""A chip without an image, for tests of the emulator: a few instructions in RAM, and registers by address."""

import pytest

from tests.chip import core
from tests.chip.emulated import Emulated

RAM = 0x20000000
CODE = RAM + 0x1000
SPIN = 0xE7FE  # b .
needs_compiler = pytest.mark.skipif(core.compiler() is None, reason="no C compiler (cc, gcc, clang): the chip is in C")


class Bare:
    """The processor loops in place at CODE until it is told otherwise."""

    def __init__(self, cache=True):
        self.chip = Emulated(cache=cache)
        self.core, self.ram = self.chip.core, self.chip.mcu.sram
        self.read, self.write = self.core.read, self.core.write
        self.code((SPIN,))

    def code(self, words, at=CODE):
        """Put instructions (halfwords) at an address of RAM and go there."""
        for n, word in enumerate(words):
            self.ram[at - RAM + 2 * n : at - RAM + 2 * n + 2] = word.to_bytes(2, "little")
        self.core.set_register(15, at)

    @property
    def now(self):
        """Cycles since power-up."""
        return self.core.head.now

    def step(self, instructions=1):
        """Returns the cycles that they took."""
        begun = self.now
        for _ in range(instructions):
            self.core.run(self.now + 1)
        return self.now - begun

    def pass_cycles(self, cycles):
        self.core.run(self.now + cycles)

    def words(self, address, count):
        """Words of RAM."""
        start = address - RAM
        return [int.from_bytes(self.ram[start + 4 * n : start + 4 * n + 4], "little") for n in range(count)]

    def put(self, address, words):
        """Words into RAM."""
        data = b"".join(word.to_bytes(4, "little") for word in words)
        self.ram[address - RAM : address - RAM + len(data)] = data
