"""The feed's integer loops in plain Python: who holds a fixture, the merged frame, fades between two frames.

feed.py and raw_slots.py call these where feed_loops_viper.py, the same in native code, cannot be had;
tests/vm/feed_loops_twins.py holds the two equal. Nothing allocates on the chip. Frames are bytearrays of 512
slots, or of 1024 of two universes; feed_tables.py draws the tables.
"""

from firmware.stage.feed_tables import (
    AROUND,
    BY_BOTH,
    BY_FEED,
    BY_POCKET,
    CHANNEL_ROW,
    DIMMER,
    DIMMER_LOW,
    FEED,
    FEED_BEGAN,
    FIRST,
    FIXTURE,
    FIXTURE_ROW,
    HAND_OVER_MS,
    HIGH,
    HIGHEST,
    KIND,
    LAST,
    LATEST,
    LOW,
    PAUSE_MS,
    POCKET,
    POCKET_BEGAN,
    RULE,
    SNAP,
    TIMES_ROW,
    UNDECIDED,
)


def watch(new, count, old, fixtures, change_times, column, now, held=0):
    """Copy a frame, and note which fixtures changed.

    new: a frame; count: how many of its slots are valid; held: up to where the others stay, those after are 0; old: the
    frame before, which becomes the copy; column: POCKET_LAST or FEED_LAST, the field of `change_times` to set, with the
    one after it; now: ms.
    """
    m = column
    for p in range(0, len(fixtures), FIXTURE_ROW):
        for i in range(fixtures[p + FIRST], fixtures[p + LAST] + 1):
            if old[i] != (new[i] if i < count else old[i] if i < held else 0):
                if now - change_times[m] > PAUSE_MS:
                    change_times[m + 1] = now
                change_times[m] = now
                break
        m += TIMES_ROW
    for i in range(len(old)):
        old[i] = new[i] if i < count else old[i] if i < held else 0


def decide(pocket, feed, count, fixtures, change_times, holders):
    """Set who holds each fixture. pocket, feed: the two frames; count: slots of the feed. A fixture with slots beyond
    those is the pocket's."""
    for f in range(len(fixtures) // FIXTURE_ROW):
        p, m = f * FIXTURE_ROW, f * TIMES_ROW
        rule, by = fixtures[p + RULE], holders[f]
        if rule == POCKET or fixtures[p + LAST] >= count:
            by = BY_POCKET
        elif rule == FEED:
            by = BY_FEED
        elif rule == LATEST:
            by = _higher(change_times[m + POCKET_BEGAN], change_times[m + FEED_BEGAN], by)
        elif fixtures[p + DIMMER]:
            by = _higher(_value(pocket, fixtures[p + DIMMER] - 1, fixtures[p + DIMMER_LOW]),
                         _value(feed, fixtures[p + DIMMER] - 1, fixtures[p + DIMMER_LOW]), by)
        else:
            by = BY_BOTH
        holders[f] = by


def _higher(pocket, feed, by):
    """Who holds a fixture whose two values or times these are. by: who held it; a tie changes nothing."""
    if pocket == feed:
        return BY_FEED if by == BY_BOTH else by
    return BY_POCKET if pocket > feed else BY_FEED


def merge(pocket, feed, out, channels, holders, winners):
    """Write the merged frame to `out`, and set the winners. Of slots in no channel, and of channels of fixtures that
    both hold, the higher value counts."""
    for i in range(len(out)):
        out[i] = max(pocket[i], feed[i])
    for f in range(len(holders)):
        winners[f] = holders[f] if holders[f] != BY_BOTH else UNDECIDED
    for w in range(0, len(channels), CHANNEL_ROW):
        f, high, low = channels[w + FIXTURE], channels[w + HIGH], channels[w + LOW]
        a, b = _value(pocket, high, low), _value(feed, high, low)
        if holders[f] == BY_BOTH:
            by = BY_POCKET if a > b else BY_FEED
            if a != b:
                winners[f] = by if winners[f] in (UNDECIDED, by) else BY_BOTH
        else:
            by = holders[f]
        _put(out, high, low, a if by == BY_POCKET else b)
    for f in range(len(holders)):
        if winners[f] == UNDECIDED:
            winners[f] = BY_FEED


def hand_over(before, holders, fixtures, frame, left, times, now):
    """Note which fixtures go over to the other by the rule: before, who held them, becomes holders; of those that are
    to fade, left gets the slots on the line, and times the time. -> 1 if there is one. now: above 0."""
    found = 0
    for f in range(len(fixtures) // FIXTURE_ROW):
        p = f * FIXTURE_ROW
        if before[f] != holders[f]:
            before[f] = holders[f]
            # Without a dimmer each slot has its own; who turns a knob has the light that is on the line (feed.pick_up).
            rule = fixtures[p + RULE]
            if rule == HIGHEST and fixtures[p + DIMMER] or rule == LATEST and holders[f] == BY_FEED:
                for i in range(fixtures[p + FIRST], fixtures[p + LAST] + 1):
                    left[i] = frame[i]
                times[f] = now
                found = 1
    return found


def blend(left, out, fixtures, channels, times, now):
    """Fade the fixtures that are handed over. Where the higher counts the dimmer has no jump, and does not wait."""
    for w in range(0, len(channels), CHANNEL_ROW):
        f = channels[w + FIXTURE]
        done, p = now - times[f], f * FIXTURE_ROW
        if times[f] and done < HAND_OVER_MS and not (
                fixtures[p + RULE] == HIGHEST and channels[w + HIGH] + 1 == fixtures[p + DIMMER]):
            _mix_one(left, out, out, (done << 16) // HAND_OVER_MS, channels, w)


def mix(a, b, out, share, channels, unpatched):
    """Write the frame at a share, 0..65536, between frame a (0) and frame b (65536) to `out`, which may be a or b.

    A channel of two slots moves as one value, hue goes the short way round, a channel that jumps has b's value.
    """
    for i in range(len(unpatched)):
        if unpatched[i]:
            out[i] = a[i] + ((b[i] - a[i]) * share + 32768 >> 16)
    for w in range(0, len(channels), CHANNEL_ROW):
        _mix_one(a, b, out, share, channels, w)


def _mix_one(a, b, out, share, channels, w):
    high, low, kind = channels[w + HIGH], channels[w + LOW], channels[w + KIND]
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
