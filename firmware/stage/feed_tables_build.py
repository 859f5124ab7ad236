"""Lays out the tables of a rig for the feed (feed_tables.py). Loaded by feed.py when the rig or the rules change."""

from array import array

from firmware.stage.feed_tables import AROUND, BY_POCKET, CHANNEL_ROW, FIXTURE_ROW, SNAP, TIMES_ROW


def build(rig, rules, uids, change_times, holders):
    """The tables of a rig: (fixtures, channels, unpatched, uids, change_times, holders).

    rules: {uid: rule}. uids, change_times, holders: as they were; a fixture that is still there keeps its rows.
    """
    return _layout(rig, rules) + _carried_over(rig, uids, change_times, holders)


def _layout(rig, rules):
    unpatched = bytearray(b"\x01" * rig.slots())
    fixtures = array("H", bytes(2 * FIXTURE_ROW * len(rig)))
    channels = array("H", bytes(2 * CHANNEL_ROW * sum([len(f.personality.channels) for f in rig.fixtures])))
    at = 0
    for i, f in enumerate(rig.fixtures):
        dimmer = (0, 0)
        for does, coarse, fine, _low, _high, _default, snap in f.personality.channels:
            high = f.address - 1 + coarse
            low = f.address + fine if fine >= 0 else 0
            kind = (AROUND if does == "hue" else 0) | (SNAP if snap else 0)
            channels[at:at + CHANNEL_ROW] = array("H", (i, high, low, kind))
            at += CHANNEL_ROW
            unpatched[high] = 0
            if low:
                unpatched[low - 1] = 0
            if does == "level":
                dimmer = high + 1, low
        row = (f.address - 1, f.last() - 1, dimmer[0], dimmer[1], rules.get(f.uid, 0))
        fixtures[i * FIXTURE_ROW:i * FIXTURE_ROW + FIXTURE_ROW] = array("H", row)
    return fixtures, channels, unpatched


def _carried_over(rig, uids, change_times, holders):
    new = array("H", [f.uid for f in rig.fixtures])
    new_times = array("i", [0] * (TIMES_ROW * len(rig)))
    new_holders = bytearray([BY_POCKET] * len(rig))
    for old_place, uid in enumerate(uids):
        for i in range(len(rig)):
            if new[i] == uid:
                new_holders[i] = holders[old_place]
                for k in range(TIMES_ROW):
                    new_times[i * TIMES_ROW + k] = change_times[old_place * TIMES_ROW + k]
    return new, new_times, new_holders
