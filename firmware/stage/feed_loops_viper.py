"""The loops of feed_loops.py in native code, for chips that have an emitter. feed.py and raw_slots.py import it where
they can.

The numbers are those of feed_tables.py, repeated because viper folds only constants of its own module;
tests/vm/feed_loops_twins.py holds them equal.
"""

# ruff: noqa: F821  ptr8, ptr16 and ptr32 are the viper compiler's; C901: it has no calls that are cheap

import micropython
from micropython import const

_FIXTURE_ROW = const(5)
_FIRST = const(0)
_LAST = const(1)
_DIMMER = const(2)
_DIMMER_LOW = const(3)
_RULE = const(4)

_LATEST = const(1)
_POCKET = const(2)
_FEED = const(3)
_BY_FEED = const(0)
_BY_POCKET = const(1)
_BY_BOTH = const(2)
_UNDECIDED = const(3)

_CHANNEL_ROW = const(4)
_HIGH = const(1)
_LOW = const(2)
_KIND = const(3)
_AROUND = const(1)
_SNAP = const(2)

_TIMES_ROW = const(4)
_POCKET_BEGAN = const(1)
_FEED_BEGAN = const(3)
_PAUSE_MS = const(300)
_HAND_OVER_MS = const(500)
_HIGHEST = const(0)


@micropython.viper
def watch(new: ptr8, count: int, before, fixtures, change_times: ptr32, column: int, now: int, held: int):
    """As feed_loops.watch."""
    old = ptr8(before)
    fixture = ptr16(fixtures)
    end = int(len(fixtures))
    p = 0
    m = column
    while p < end:
        i = int(fixture[p + _FIRST])
        last = int(fixture[p + _LAST])
        while i <= last:
            value = 0
            if i < count:
                value = int(new[i])
            elif i < held:
                value = int(old[i])
            if value != int(old[i]):
                if now - change_times[m] > _PAUSE_MS:
                    change_times[m + 1] = now
                change_times[m] = now
                break
            i += 1
        p += _FIXTURE_ROW
        m += _TIMES_ROW
    end = int(len(before))
    i = 0
    while i < end:
        value = 0
        if i < count:
            value = int(new[i])
        elif i < held:
            value = int(old[i])
        old[i] = value
        i += 1


@micropython.viper
def decide(pocket: ptr8, feed: ptr8, count: int, fixtures, change_times: ptr32, holders: ptr8):  # noqa: C901
    """As feed_loops.decide."""
    fixture = ptr16(fixtures)
    end = int(len(fixtures))
    p = 0
    f = 0
    while p < end:
        rule = int(fixture[p + _RULE])
        by = int(holders[f])
        if rule == _POCKET or int(fixture[p + _LAST]) >= count:
            by = _BY_POCKET
        elif rule == _FEED:
            by = _BY_FEED
        elif rule == _LATEST or int(fixture[p + _DIMMER]):
            if rule == _LATEST:
                a = change_times[f * _TIMES_ROW + _POCKET_BEGAN]
                b = change_times[f * _TIMES_ROW + _FEED_BEGAN]
            else:
                i = int(fixture[p + _DIMMER]) - 1
                a = int(pocket[i])
                b = int(feed[i])
                i = int(fixture[p + _DIMMER_LOW])
                if i:
                    a = a << 8 | int(pocket[i - 1])
                    b = b << 8 | int(feed[i - 1])
            if a > b:
                by = _BY_POCKET
            elif b > a or by == _BY_BOTH:
                by = _BY_FEED
        else:
            by = _BY_BOTH
        holders[f] = by
        p += _FIXTURE_ROW
        f += 1


@micropython.viper
def merge(pocket: ptr8, feed: ptr8, merged, channels, holders, winners: ptr8):  # noqa: C901
    """As feed_loops.merge."""
    out = ptr8(merged)
    channel = ptr16(channels)
    holder = ptr8(holders)
    n = int(len(holders))
    end = int(len(merged))
    i = 0
    while i < end:
        a = int(pocket[i])
        b = int(feed[i])
        if b > a:
            a = b
        out[i] = a
        i += 1
    end = int(len(channels))
    f = 0
    while f < n:
        by = int(holder[f])
        if by == _BY_BOTH:
            by = _UNDECIDED
        winners[f] = by
        f += 1
    w = 0
    while w < end:
        f = int(channel[w])
        high = int(channel[w + _HIGH])
        low = int(channel[w + _LOW])
        a = int(pocket[high])
        b = int(feed[high])
        if low:
            a = a << 8 | int(pocket[low - 1])
            b = b << 8 | int(feed[low - 1])
        by = int(holder[f])
        if by == _BY_BOTH:
            by = _BY_FEED
            if a > b:
                by = _BY_POCKET
            if a != b:
                i = int(winners[f])
                if i == _UNDECIDED:
                    winners[f] = by
                elif i != by:
                    winners[f] = _BY_BOTH
        if by != _BY_POCKET:
            a = b
        if low:
            out[low - 1] = a & 255
            a >>= 8
        out[high] = a
        w += _CHANNEL_ROW
    f = 0
    while f < n:
        if int(winners[f]) == _UNDECIDED:
            winners[f] = _BY_FEED
        f += 1


@micropython.viper
def hand_over(before: ptr8, holders: ptr8, fixtures, frame: ptr8, left: ptr8, times: ptr32, now: int) -> int:
    """As feed_loops.hand_over."""
    fixture = ptr16(fixtures)
    end = int(len(fixtures))
    found = 0
    f = 0
    p = 0
    while p < end:
        by = int(holders[f])
        if int(before[f]) != by:
            before[f] = by
            rule = int(fixture[p + _RULE])
            if (rule == _HIGHEST and int(fixture[p + _DIMMER])) or (rule == _LATEST and by == _BY_FEED):
                i = int(fixture[p + _FIRST])
                last = int(fixture[p + _LAST])
                while i <= last:
                    left[i] = frame[i]
                    i += 1
                times[f] = now
                found = 1
        p += _FIXTURE_ROW
        f += 1
    return found


@micropython.viper
def blend(left: ptr8, out: ptr8, fixtures: ptr16, channels, times: ptr32, now: int):
    """As feed_loops.blend."""
    channel = ptr16(channels)
    end = int(len(channels))
    w = 0
    while w < end:
        f = int(channel[w])
        done = now - times[f]
        p = f * _FIXTURE_ROW
        if times[f] and done < _HAND_OVER_MS and not (int(fixtures[p + _RULE]) == _HIGHEST
                                                      and int(channel[w + _HIGH]) + 1 == int(fixtures[p + _DIMMER])):
            share = (done << 16) // _HAND_OVER_MS
            mix_one(left, out, out, share, channels, w)
        w += _CHANNEL_ROW


@micropython.viper
def mix_one(a: ptr8, b: ptr8, out: ptr8, share: int, channels: ptr16, w: int):
    """As feed_loops._mix_one."""
    high = int(channels[w + _HIGH])
    low = int(channels[w + _LOW])
    kind = int(channels[w + _KIND])
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


@micropython.viper
def mix(a: ptr8, b: ptr8, out: ptr8, share: int, channels, unpatched):
    """As feed_loops.mix."""
    channel = ptr16(channels)
    free = ptr8(unpatched)
    end = int(len(unpatched))
    i = 0
    while i < end:
        if int(free[i]):
            x = int(a[i])
            out[i] = x + ((int(b[i]) - x) * share + 32768 >> 16)
        i += 1
    end = int(len(channels))
    w = 0
    while w < end:
        high = int(channel[w + _HIGH])
        low = int(channel[w + _LOW])
        kind = int(channel[w + _KIND])
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
        w += _CHANNEL_ROW
