"""The heap read in RAM. How a block is marked in the table is from MicroPython's py/gc.c (from memory)."""

import struct
from types import SimpleNamespace

import pytest

from tests.chip.heap import RAM, Heap, NotFound

AREA, TABLE, LENGTH, POOL = RAM + 0x2000, RAM + 0x3000, 512, RAM + 0x4000
FREE, HEAD, TAIL, MARKED = range(4)


def chip(kinds, words=()):
    """RAM with a heap whose first blocks are of these kinds; words: {address: word} beside."""
    ram = bytearray(0x42000)
    struct.pack_into("<5I", ram, AREA - RAM, TABLE, LENGTH, TABLE + LENGTH, POOL, POOL + LENGTH * 64)
    for n, kind in enumerate(kinds):
        ram[TABLE - RAM + n // 4] |= kind << 2 * (n % 4)
    for address, word in dict(words).items():
        struct.pack_into("<I", ram, address - RAM, word)
    return SimpleNamespace(mcu=SimpleNamespace(sram=ram),
                           core=SimpleNamespace(register=lambda n: 0x20042000 if n == 13 else 0))


def test_free_blocks_are_counted():
    assert Heap(chip([HEAD, TAIL, FREE, HEAD])).free() == (LENGTH * 4 - 3) * 16


def test_a_collection_is_seen_by_its_marks():
    assert not Heap(chip([HEAD, TAIL, FREE, HEAD])).collecting()
    assert Heap(chip([HEAD, TAIL, FREE, HEAD, MARKED])).collecting()


def test_what_nothing_leads_to_would_be_free():
    """A variable leads to block 1, that to block 4 of two blocks; nothing leads to block 6; an address within an object
    holds nothing."""
    kinds = [FREE, HEAD, TAIL, FREE, HEAD, TAIL, HEAD]
    words = {RAM + 0x100: POOL + 16, POOL + 2 * 16: POOL + 4 * 16, RAM + 0x104: POOL + 6 * 16 + 4}
    heap = Heap(chip(kinds, words))
    assert heap.free() == (LENGTH * 4 - 5) * 16
    assert heap.free_if_collected() == (LENGTH * 4 - 4) * 16


def test_without_a_heap():
    with pytest.raises(NotFound):
        Heap(SimpleNamespace(mcu=SimpleNamespace(sram=bytearray(0x42000))))
