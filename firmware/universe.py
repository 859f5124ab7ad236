"""How large the lighting network is: slots of a universe, and how many universes a rig may have. The one place."""

from micropython import const

SLOTS = const(512)  # ANSI E1.11
UNIVERSES = const(1)
