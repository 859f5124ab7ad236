"""MicroPython's heap, read from outside in the emulated chip's RAM: what is free, and what a collection would leave.

The collector's own record of its memory (`mp_state_mem_area_t` in MicroPython's py/mpstate.h) is found by how its words
hang together: the table with two bits a block, its length, the table of finalisers behind it, the first and the last
byte of the pool, which has 64 bytes for each byte of the table.
"""

import struct

RAM, STACK_END, BLOCK = 0x20000000, 0x20042000, 16
# How many of the four blocks of a byte of the table are free: 0 is free, 1 a head, 2 a tail, 3 a marked head.
_FREE = bytes(sum(not byte >> 2 * n & 3 for n in range(4)) for byte in range(256))
_MARKED = bytes(any(byte >> 2 * n & 3 == 3 for n in range(4)) for byte in range(256))


class NotFound(Exception):
    """There is no heap: MicroPython has not started."""


class Heap:
    """The heap of a chip that runs."""

    def __init__(self, chip):
        self._chip = chip
        words = struct.unpack(f"<{len(chip.mcu.sram) // 4}I", chip.mcu.sram)
        end = RAM + len(chip.mcu.sram)
        for table, length, finals, pool, stop in zip(words, words[1:], words[2:], words[3:], words[4:]):
            if RAM <= table < end and table + length <= finals < table + length + 4 and finals < pool < end \
                    and length >= 256 and stop == pool + length * 4 * BLOCK:
                self._table, self._length, self.pool, self.end = table, length, pool, stop
                return
        raise NotFound("no heap in RAM")

    def _bytes(self):
        at = self._table - RAM
        return bytes(self._chip.mcu.sram[at : at + self._length])

    def free(self):
        """Bytes free now, what gc.mem_free() would say: what nobody needs any more is not free until a collection."""
        return sum(self._bytes().translate(_FREE)) * BLOCK

    def collecting(self):
        """True while a collection marks what is in use: the marks are in the table at no other time."""
        return 1 in self._bytes().translate(_MARKED)

    def free_if_collected(self):
        """Bytes that would be free if the heap were collected now, as the collector finds out what is in use: whatever
        looks like the address of an object, in the variables, on the stack, in registers, in objects in use."""
        table = self._bytes()
        kinds = [byte >> 2 * n & 3 for byte in table for n in range(4)]
        core, count = self._chip.core, len(kinds)
        todo = list(self._words(RAM, self._table)) + list(self._words(core.register(13) & ~3, STACK_END))
        todo += [core.register(n) for n in range(16)]
        seen, used = set(), 0
        while todo:
            address = todo.pop()
            if not self.pool <= address < self.end or address % BLOCK or address in seen:
                continue
            block = (address - self.pool) // BLOCK
            if kinds[block] not in (1, 3):
                continue
            seen.add(address)
            last = block + 1
            while last < count and kinds[last] == 2:
                last += 1
            used += last - block
            todo.extend(self._words(address, address + (last - block) * BLOCK))
        return (count - used) * BLOCK

    def _words(self, start, end):
        count = (end - start) // 4
        return struct.unpack_from(f"<{count}I", self._chip.mcu.sram, start - RAM)
