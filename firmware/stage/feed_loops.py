"""The feed's integer loops in plain Python: who holds a lamp, the merged frame, fades between two frames.

Called by feed.py and raw.py where merge_viper.py, the same in native code, is not to be had; a test holds the two
equal. Nothing allocates on the chip. Frames are bytearrays of 512; the tables' fields are in holds.py.
"""

from firmware.stage.feed_tables import (
    AROUND,
    BY_BOTH,
    BY_FEED,
    BY_POCKET,
    COARSE,
    FEED,
    FEED_BEGAN,
    FINE,
    FIRST,
    HIGH,
    KIND,
    LAMP,
    LAST,
    LATEST,
    LOW,
    MOVE,
    OWN_BEGAN,
    POCKET,
    REST_MS,
    RULE,
    SNAP,
    WAY,
)


def watch(new, count, old, lamps, moves, field, now):
    """Copy `count` slots of new into old, those after them 0; note which lamps changed: moves[field] and the one
    after."""
    m = field
    for p in range(0, len(lamps), LAMP):
        for i in range(lamps[p + FIRST], lamps[p + LAST] + 1):
            if old[i] != (new[i] if i < count else 0):
                if now - moves[m] > REST_MS:
                    moves[m + 1] = now
                moves[m] = now
                break
        m += MOVE
    for i in range(512):
        old[i] = new[i] if i < count else 0


def decide(own, feed, count, lamps, moves, holds):
    """Say who holds each fixture. count: slots of the feed; what is beyond them is the pocket's."""
    for f in range(len(lamps) // LAMP):
        p, m = f * LAMP, f * MOVE
        rule, by = lamps[p + RULE], holds[f]
        if rule == POCKET or lamps[p + LAST] >= count:
            by = BY_POCKET
        elif rule == FEED:
            by = BY_FEED
        elif rule == LATEST:
            by = _higher(moves[m + OWN_BEGAN], moves[m + FEED_BEGAN], by)
        elif lamps[p + COARSE]:
            by = _higher(_value(own, lamps[p + COARSE] - 1, lamps[p + FINE]),
                         _value(feed, lamps[p + COARSE] - 1, lamps[p + FINE]), by)
        else:
            by = BY_BOTH
        holds[f] = by


def _higher(own, feed, by):
    if own == feed:
        return BY_FEED if by == BY_BOTH else by
    return BY_POCKET if own > feed else BY_FEED


def merge(own, feed, out, ways, holds, shown):
    """Write the merged frame. Slots of nobody, and channels of lamps that both hold: the highest of the two.
    shown: as holds, but who really gives the highest where both hold."""
    for i in range(512):
        out[i] = max(own[i], feed[i])
    for f in range(len(holds)):
        shown[f] = holds[f] if holds[f] != BY_BOTH else 3
    for w in range(0, len(ways), WAY):
        f, high, low = ways[w], ways[w + HIGH], ways[w + LOW]
        a, b = _value(own, high, low), _value(feed, high, low)
        if holds[f] == BY_BOTH:
            by = BY_POCKET if a > b else BY_FEED
            if a != b:
                shown[f] = by if shown[f] in (3, by) else BY_BOTH
        else:
            by = holds[f]
        _put(out, high, low, a if by == BY_POCKET else b)
    for f in range(len(holds)):
        if shown[f] == 3:
            shown[f] = BY_FEED


def mix(a, b, out, share, ways, free):
    """Write the frame at share 0..65536 of the way from a to b. Channels of two slots move as one value, hue goes the
    short way, and channels that jump are b's. free: 1 for each slot that is no channel's. out may be a or b."""
    for i in range(512):
        if free[i]:
            out[i] = a[i] + ((b[i] - a[i]) * share + 32768 >> 16)
    for w in range(0, len(ways), WAY):
        high, low, kind = ways[w + HIGH], ways[w + LOW], ways[w + KIND]
        x, y = _value(a, high, low), _value(b, high, low)
        d = y - x
        whole = 65535 if low else 255
        if kind & AROUND:
            if d > whole >> 1:
                d -= whole
            elif d < -(whole >> 1):
                d += whole
        d = (d * (share >> 8) + (d * (share & 255) >> 8)) + 128 >> 8  # d * share may pass 2**30: as fields.mul16
        x += d
        if kind & SNAP:
            x = y
        elif x < 0:
            x += whole
        elif x > whole:
            x -= whole
        _put(out, high, low, x)


def _value(frame, high, low):
    return frame[high] << 8 | frame[low - 1] if low else frame[high]


def _put(frame, high, low, value):
    if low:
        frame[low - 1] = value & 255
        value >>= 8
    frame[high] = value
