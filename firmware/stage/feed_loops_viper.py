"""The loops of merge.py in native code, for chips that have an emitter. Imported by feed.py and raw.py if it can be.

The numbers are those of holds.py (viper folds only constants of its own module): a test holds them equal.
"""

# ruff: noqa: F821  ptr8, ptr16 and ptr32 are the viper compiler's

import micropython
from micropython import const

_LAMP = const(5)
_FIRST = const(0)
_LAST = const(1)
_COARSE = const(2)
_FINE = const(3)
_RULE = const(4)

_LATEST = const(1)
_POCKET = const(2)
_FEED = const(3)
_BY_FEED = const(0)
_BY_POCKET = const(1)
_BY_BOTH = const(2)

_WAY = const(4)
_HIGH = const(1)
_LOW = const(2)
_KIND = const(3)
_AROUND = const(1)
_SNAP = const(2)

_MOVE = const(4)
_OWN_BEGAN = const(1)
_FEED_BEGAN = const(3)
_REST_MS = const(300)


@micropython.viper
def watch(new: ptr8, count: int, old: ptr8, lamps, moves: ptr32, field: int, now: int):
    """As merge.watch."""
    lamp = ptr16(lamps)
    end = int(len(lamps))
    p = 0
    m = field
    while p < end:
        i = int(lamp[p + _FIRST])
        last = int(lamp[p + _LAST])
        while i <= last:
            value = 0
            if i < count:
                value = int(new[i])
            if value != int(old[i]):
                if now - moves[m] > _REST_MS:
                    moves[m + 1] = now
                moves[m] = now
                break
            i += 1
        p += _LAMP
        m += _MOVE
    i = 0
    while i < 512:
        value = 0
        if i < count:
            value = int(new[i])
        old[i] = value
        i += 1


@micropython.viper
def decide(own: ptr8, feed: ptr8, count: int, lamps, moves: ptr32, holds: ptr8):  # noqa: C901  viper has no calls
    """As merge.decide."""
    lamp = ptr16(lamps)
    end = int(len(lamps))
    p = 0
    f = 0
    while p < end:
        rule = int(lamp[p + _RULE])
        by = int(holds[f])
        if rule == _POCKET or int(lamp[p + _LAST]) >= count:
            by = _BY_POCKET
        elif rule == _FEED:
            by = _BY_FEED
        elif rule == _LATEST or int(lamp[p + _COARSE]):
            if rule == _LATEST:
                a = moves[f * _MOVE + _OWN_BEGAN]
                b = moves[f * _MOVE + _FEED_BEGAN]
            else:
                i = int(lamp[p + _COARSE]) - 1
                a = int(own[i])
                b = int(feed[i])
                i = int(lamp[p + _FINE])
                if i:
                    a = a << 8 | int(own[i - 1])
                    b = b << 8 | int(feed[i - 1])
            if a > b:
                by = _BY_POCKET
            elif b > a or by == _BY_BOTH:
                by = _BY_FEED
        else:
            by = _BY_BOTH
        holds[f] = by
        p += _LAMP
        f += 1


@micropython.viper
def merge(own: ptr8, feed: ptr8, out: ptr8, ways, holds, shown: ptr8):  # noqa: C901
    """As merge.merge."""
    way = ptr16(ways)
    hold = ptr8(holds)
    n = int(len(holds))
    end = int(len(ways))
    i = 0
    while i < 512:
        a = int(own[i])
        b = int(feed[i])
        if b > a:
            a = b
        out[i] = a
        i += 1
    f = 0
    while f < n:
        by = int(hold[f])
        if by == _BY_BOTH:
            by = 3
        shown[f] = by
        f += 1
    w = 0
    while w < end:
        f = int(way[w])
        high = int(way[w + _HIGH])
        low = int(way[w + _LOW])
        a = int(own[high])
        b = int(feed[high])
        if low:
            a = a << 8 | int(own[low - 1])
            b = b << 8 | int(feed[low - 1])
        by = int(hold[f])
        if by == _BY_BOTH:
            by = _BY_FEED
            if a > b:
                by = _BY_POCKET
            if a != b:
                i = int(shown[f])
                if i == 3:
                    shown[f] = by
                elif i != by:
                    shown[f] = _BY_BOTH
        if by != _BY_POCKET:
            a = b
        if low:
            out[low - 1] = a & 255
            a >>= 8
        out[high] = a
        w += _WAY
    f = 0
    while f < n:
        if int(shown[f]) == 3:
            shown[f] = _BY_FEED
        f += 1


@micropython.viper
def mix(a: ptr8, b: ptr8, out: ptr8, share: int, ways, free: ptr8):
    """As merge.mix."""
    way = ptr16(ways)
    end = int(len(ways))
    i = 0
    while i < 512:
        if int(free[i]):
            x = int(a[i])
            out[i] = x + ((int(b[i]) - x) * share + 32768 >> 16)
        i += 1
    w = 0
    while w < end:
        high = int(way[w + _HIGH])
        low = int(way[w + _LOW])
        kind = int(way[w + _KIND])
        x = int(a[high])
        y = int(b[high])
        whole = 255
        if low:
            x = x << 8 | int(a[low - 1])
            y = y << 8 | int(b[low - 1])
            whole = 65535
        d = y - x
        if kind & _AROUND:
            if d > whole >> 1:
                d -= whole
            elif d < 0 - (whole >> 1):
                d += whole
        x += (d * (share >> 8) + (d * (share & 255) >> 8)) + 128 >> 8
        if kind & _SNAP:
            x = y
        elif x < 0:
            x += whole
        elif x > whole:
            x -= whole
        if low:
            out[low - 1] = x & 255
            x >>= 8
        out[high] = x
        w += _WAY
