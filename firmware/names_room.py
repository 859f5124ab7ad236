"""Room for the names that pages bring: all that MicroPython ever interns stays, in tables of which each has twice the
places of the one before (py/qstr.c). Run once at the start by main.py.

With all pages opened once there are more than 1,260 names on an RP2040, and the table for the next wants 9 KB in one
piece. Later in the day the heap is in smaller pieces, and then no page could be opened that was not open before.
"""

import gc

from micropython import const

_LARGE = const(300_000)  # bytes of a heap that has such a piece at any time
_GROWN = const(8000)  # bytes that the heap loses at once where the table was made
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def make(holder):
    """Intern short names until there is a new table. holder: any object; it is asked whether it has them."""
    if not hasattr(gc, "mem_free"):  # CPython
        return
    gc.collect()
    free = gc.mem_free()
    if free + gc.mem_alloc() >= _LARGE:
        return
    for first in _LETTERS:
        for second in _LETTERS:
            hasattr(holder, first + second)  # many of them are names of the packed firmware
        left = gc.mem_free()
        if free - left >= _GROWN:
            return
        free = left
