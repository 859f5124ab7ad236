"""The tables of the feed: what feed.py lays out and the loops of feed_loops.py and feed_loops_viper.py run over.

Each is one array, so that the loops allocate nothing; a row of each, with its fields:

    fixtures      array 'H', a row for each fixture of the rig: FIXTURE_ROW numbers
                  | FIRST      | LAST      | DIMMER    | DIMMER_LOW | RULE    |
                  | first slot | last slot | high byte | low byte   | HIGHEST |
                  FIRST and LAST are indices of slots, 0..1023; DIMMER and DIMMER_LOW are indices + 1, 0 for none
    channels      array 'H', a row for each channel of each fixture: CHANNEL_ROW numbers
                  | FIXTURE      | HIGH      | LOW      | KIND          |
                  | its place in | high byte | low byte | AROUND + SNAP |
                  | the rig      |           |          |               |
                  HIGH is the index of a slot; LOW is an index + 1, 0 for a channel of one slot
    change_times  array 'i', a row for each fixture: TIMES_ROW times in ms
                  | POCKET_LAST   | POCKET_BEGAN | FEED_LAST   | FEED_BEGAN |
                  | last change   | began to     | last change | began to   |
                  | by the pocket | change       | by the feed | change     |
    holders       bytearray, one for each fixture: who holds it by its rule, BY_FEED, BY_POCKET or BY_BOTH
    winners       bytearray, likewise, but where both hold a fixture: whose slots are really the higher
    unpatched     bytearray, 1 for each slot that is in no channel, else 0

The pocket is this device, with the light that its own stage makes.
"""

from micropython import const

FIXTURE_ROW = const(5)
FIRST = const(0)
LAST = const(1)
DIMMER = const(2)
DIMMER_LOW = const(3)
RULE = const(4)

HIGHEST, LATEST, POCKET, FEED = const(0), const(1), const(2), const(3)  # rules: what decides who holds a fixture
BY_FEED, BY_POCKET, BY_BOTH = const(0), const(1), const(2)
UNDECIDED = const(3)  # a winner while the loop has found no difference yet

CHANNEL_ROW = const(4)
FIXTURE = const(0)
HIGH = const(1)
LOW = const(2)
KIND = const(3)
AROUND, SNAP = const(1), const(2)  # bits of a kind: hue, which goes the short way round; a channel that jumps

TIMES_ROW = const(4)
POCKET_LAST, POCKET_BEGAN, FEED_LAST, FEED_BEGAN = const(0), const(1), const(2), const(3)
HAND_OVER_MS = const(500)  # a fixture that goes from the one to the other fades over so long
PAUSE_MS = const(300)  # where a source did not change a fixture for so long, its next change begins a new move
