"""How large the lighting network is: slots of a universe, how many universes a rig may have, and lamps for each. The
one place."""

from micropython import const

SLOTS = const(512)  # ANSI E1.11
UNIVERSES = const(2)
LAMPS = const(64)  # of a rig, for each universe that the device sends
