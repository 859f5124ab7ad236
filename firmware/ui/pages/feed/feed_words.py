"""Words and steps that the pages of the feed and of the captures share."""


def coming(feed, now):
    """What comes in, in words: "44.0 Hz, 512 slots"."""
    if feed.is_live():
        return "%d.%d Hz, %d slots" % (feed.hz10 // 10, feed.hz10 % 10, feed.count)
    if feed.is_lost():
        return "lost %d s ago" % ((now - feed.since) // 1000)
    return "nothing yet"


def dialled_ms(ms, detents):
    """A fade time after a turn: half seconds to 10 s, then seconds, then tens; 0..600 s."""
    tenths = ms // 100
    step = 5 if tenths < 100 else 10 if tenths < 600 else 100
    return max(0, min(6000, tenths + detents * step)) * 100


def clock(ms):
    """A time in words: "1:05", "1:02:03"."""
    s = (ms + 500) // 1000
    return "%d:%02d:%02d" % (s // 3600, s // 60 % 60, s % 60) if s >= 3600 else "%d:%02d" % (s // 60, s % 60)
