"""Packets with fewer slots than those before, and lamps that go over between feed and pocket, by the frames sent.

ANSI E1.11, 8.9: a packet may have any number of slots; a receiver keeps what it has for those that do not come.
"""

from firmware.stage.feed_tables import BY_FEED, BY_POCKET
from tests.feed.conftest import FRAME_MS, Set


def full():
    """512 slots, all at 200."""
    return bytes([200] * 512)


def far():
    """A rig whose last lamp lies beyond slot 24."""
    desk = Set(("raw20", "raw4", "raw8"))
    desk.slots = full()
    desk.run(3)
    return desk


def test_one_short_packet_leaves_all_as_it_is():
    desk = far()
    desk.slots = bytes([200] * 24)
    seen = {desk.step()}
    desk.slots = full()
    seen |= set(desk.run(1))
    assert seen == {full()} and desk.feed.shorts == 1


def test_a_feed_that_alternates_does_not_blink():
    desk = far()
    seen = set()
    for n in range(400):
        desk.slots = bytes([200] * 24) if n % 2 else full()
        seen.add(desk.step())
    assert seen == {full()} and desk.feed.shorts == 200


def test_after_a_second_what_lacks_goes_over_to_the_pocket_by_a_fade():
    desk = far()
    desk.slots = bytes([200] * 24)
    frames = desk.run(5)
    values = [frame[30] for frame in frames]
    held = values.index(next(v for v in values if v < 200)) * FRAME_MS
    assert 950 <= held <= 1100 and values[-1] == 0
    assert max(a - b for a, b in zip(values, values[1:], strict=False)) <= 200 * FRAME_MS / 2000 + 1
    assert values == sorted(values, reverse=True) and all(frame[:24] == bytes([200] * 24) for frame in frames)
    desk.slots = full()
    values = [frame[30] for frame in desk.run(3)]
    assert values == sorted(values) and values[-1] == 200
    assert max(b - a for a, b in zip(values, values[1:], strict=False)) <= 200 * FRAME_MS / 2000 + 1


def test_where_the_higher_counts_the_white_fades_over():
    """The feed's dimmer comes up past the pocket's: its white, far from the pocket's, does not come in one step."""
    desk = Set(("white16",))
    desk.stage.dial("white16", level=0.5, cct=3000)
    desk.slots = bytes([0, 0, 64000 >> 8, 64000 & 255] + [0] * 508)
    desk.run(3)
    assert desk.holder("white16") == BY_POCKET
    desk.slots = bytes([130, 0, 64000 >> 8, 64000 & 255] + [0] * 508)
    frames = desk.run(1)
    assert desk.holder("white16") == BY_FEED
    white = [frame[2] << 8 | frame[3] for frame in frames]
    assert white[0] < 6000 and white[-1] == 64000
    assert max(b - a for a, b in zip(white, white[1:], strict=False)) <= 60000 * FRAME_MS / 500 + 100
    assert {frame[0] for frame in frames} == {130}  # the dimmer does not wait
