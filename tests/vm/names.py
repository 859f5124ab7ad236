"""Runs on the VM: 900 names are interned one after the other, as the start does, then 900 as pages do. Prints the
largest piece of heap that one of these took. Argument 2: "room": firmware/names_room.py has made room for them."""

import gc
import sys

sys.path.insert(0, ".")


class Holder:
    """Asked for the names."""


def largest(first, last):
    """Bytes."""
    most = 0
    gc.collect()
    free = gc.mem_free()
    for n in range(first, last):
        hasattr(Holder, "name%04d" % n)
        gc.collect()
        left = gc.mem_free()
        most, free = max(most, free - left), left
    return most


largest(0, 900)
if sys.argv[2] == "room":
    from firmware import names_room

    names_room.make(Holder)
print(largest(900, 1800))
