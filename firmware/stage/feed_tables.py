"""The fields of the feed's tables: what feed.py lays out and the loops of merge*.py run over.

`lamps` (array 'H', LAMP a fixture), `ways` (array 'H', WAY a channel), `moves` (array 'i', MOVE a fixture; ms).
"""

from micropython import const

LAMP = const(5)
FIRST = const(0)  # slot index
LAST = const(1)
COARSE = const(2)  # index + 1 of its dimmer's slot; 0: it has none
FINE = const(3)  # index + 1 of the dimmer's low byte; 0: none
RULE = const(4)

HIGHEST, LATEST, POCKET, FEED = const(0), const(1), const(2), const(3)  # rules
BY_FEED, BY_POCKET, BY_BOTH = const(0), const(1), const(2)  # who holds a lamp

WAY = const(4)
OWNER = const(0)  # place of its fixture
HIGH = const(1)  # slot index
LOW = const(2)  # index + 1 of the low byte; 0: none
KIND = const(3)
AROUND, SNAP = const(1), const(2)  # kinds of channel: hue, one that jumps

MOVE = const(4)
OWN_LAST, OWN_BEGAN, FEED_LAST, FEED_BEGAN = const(0), const(1), const(2), const(3)
REST_MS = const(300)  # a source that stood so long begins a new move
