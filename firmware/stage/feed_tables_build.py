"""Tables of a rig for the feed (holds.py has their fields). Loaded by feed.py when the rig or the rules change."""

from array import array

from firmware.stage.feed_tables import AROUND, BY_POCKET, LAMP, MOVE, SNAP, WAY
from firmware.universe import SLOTS


def build(rig, rules, uids, moves, holds):
    """(lamps, ways, free, uids, moves, holds) of a rig. rules: {uid: rule}; free: bytearray, 1 where a slot is
    nobody's; uids, moves, holds: as they were, kept for the fixtures that are still there."""
    return _tables(rig, rules) + _carried_over(rig, uids, moves, holds)


def _tables(rig, rules):
    free = bytearray(b"\x01" * SLOTS)
    lamps = array("H", bytes(2 * LAMP * len(rig)))
    ways = array("H", bytes(2 * WAY * sum([len(f.personality.channels) for f in rig.fixtures])))
    at = 0
    for i, f in enumerate(rig.fixtures):
        level = (0, 0)
        for does, coarse, fine, _low, _high, _default, snap in f.personality.channels:
            high = f.address - 1 + coarse
            low = f.address + fine if fine >= 0 else 0
            kind = (AROUND if does == "hue" else 0) | (SNAP if snap else 0)
            ways[at:at + WAY] = array("H", (i, high, low, kind))
            at += WAY
            free[high] = 0
            if low:
                free[low - 1] = 0
            if does == "level":
                level = high + 1, low
        row = (f.address - 1, f.last() - 1, level[0], level[1], rules.get(f.uid, 0))
        lamps[i * LAMP:i * LAMP + LAMP] = array("H", row)
    return lamps, ways, free


def _carried_over(rig, uids, moves, holds):
    new = array("H", [f.uid for f in rig.fixtures])
    new_moves = array("i", [0] * (MOVE * len(rig)))
    new_holds = bytearray([BY_POCKET] * len(rig))
    for was, uid in enumerate(uids):
        for i in range(len(rig)):
            if new[i] == uid:
                new_holds[i] = holds[was]
                for k in range(MOVE):
                    new_moves[i * MOVE + k] = moves[was * MOVE + k]
    return new, new_moves, new_holds
