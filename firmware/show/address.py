"""Start addresses in words. An address is one number for both universes: 1..512 is the first's, 513..1024 the second's,
in words 2.1..2.512. Loaded with the pages and verbs that speak of addresses."""

from firmware.universe import SLOTS


def start(address):
    """What is set on the lamp itself: its address in its universe, 1..512."""
    return (address - 1) % SLOTS + 1


def at(address):
    """An address in words: "101", in the second universe "2.101"."""
    return "%d" % address if address <= SLOTS else "%d.%d" % ((address - 1) // SLOTS + 1, start(address))


def reach(address, count, to="-"):
    """The slots of a lamp in words: "101-106", "2.101-106". to: what stands between the first and the last."""
    return at(address) if count == 1 else "%s%s%d" % (at(address), to, start(address) + count - 1)
