"""Times in words, and fade times by the knob. Used by the pages of looks, of the running order, of the feed and of the
captures. All times are in ms.
"""

_LONGEST = 6000  # tenths of a second


def seconds(ms):
    """A time in words: "2.5 s", "90 s"."""
    return "%g s" % (ms / 1000)


def clock(ms):
    """A time in words: "1:05", "1:02:03"."""
    s = (ms + 500) // 1000
    return "%d:%02d:%02d" % (s // 3600, s // 60 % 60, s % 60) if s >= 3600 else "%d:%02d" % (s // 60, s % 60)


def dial_fade(ms, detents):
    """A fade time after a turn, 0..600 s: in half seconds up to 10 s, in seconds up to 60 s, then in tens."""
    tenths = ms // 100
    step = 5 if tenths < 100 else 10 if tenths < 600 else 100
    return max(0, min(_LONGEST, tenths + detents * step)) * 100
