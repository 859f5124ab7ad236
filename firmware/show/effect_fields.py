"""The fields of an effect and what it acts on, by name: all that stage/effects.py needs to know of its settings while
it plays. The rest is in effect_settings.py."""

from micropython import const

KIND, ACTS, DEPTH, FADE = const(0), const(1), const(2), const(3)
SEED, PARAMS, LAMPS, ON = const(4), const(5), const(6), const(7)
LEVEL, WHITE, COLOUR = const(1), const(2), const(4)  # what it acts on
SEEDS = const(9999)
