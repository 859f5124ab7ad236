"""A feed merged with the pocket's own light: who holds what, loss and return, short feeds."""

import pytest

from firmware.show import rig_edit
from firmware.stage.feed import LIVE, LOST, LOST_MS, NONE
from firmware.stage.feed_tables import BY_BOTH, BY_FEED, BY_POCKET, FEED, HIGHEST, LATEST, POCKET
from tests.feed.conftest import FRAME_MS, Set


def ramp(count=512):
    return bytearray((7 * n + 11) & 255 for n in range(count))


def biggest_step(frames):
    """The largest change from one frame to the next of a slot that is no low byte and no hue: those turn over."""
    plain = [frame[:2] + frame[19:] for frame in frames]
    return max(abs(a - b) for one, two in zip(plain, plain[1:], strict=False) for a, b in zip(one, two, strict=True))


def test_without_a_feed_the_pocket_alone_goes_out(desk):
    desk.stage.dial("dim16", level=0.5)
    desk.run(0.1)
    assert desk.feed.state == NONE
    assert desk.feed.frame == desk.stage.frame and any(desk.stage.frame)
    assert desk.holder("dim16") == BY_POCKET


def test_through_byte_for_byte(desk):
    """A dark pocket: what goes out is what came in, all 512 slots."""
    desk.slots = ramp()
    desk.run(3)
    assert desk.feed.frame == desk.slots
    desk.slots = bytes(reversed(ramp()))
    assert desk.step() == desk.slots, "with the packet that brought it, not one later"


def test_a_feed_fades_in(desk):
    desk.slots = bytes([255] * 512)
    frames = [bytes(512), *desk.run(2.2)]
    assert frames[-1] == desk.slots
    assert biggest_step(frames) <= 255 * FRAME_MS / 2000 + 1  # two seconds from dark to full


@pytest.mark.parametrize(("own", "feed", "holder"), [(0.5, 100, BY_POCKET), (0.2, 100, BY_FEED), (0, 1, BY_FEED)])
def test_the_brighter_one_holds_the_whole_lamp(desk, own, feed, holder):
    """HTP, "highest takes precedence" (the trade's term), by the dimmer; its colour goes with it."""
    desk.stage.dial("white16", level=own, cct=3000)
    desk.slots = bytearray(512)
    desk.slots[3:7] = feed, 0, 200, 7
    desk.run(3)
    assert desk.holder("white16") == holder
    assert desk.span("white16") == (desk.span("white16", desk.stage.frame) if holder == BY_POCKET else
                                    bytes([feed, 0, 200, 7]))


def test_a_tie_stays_where_it_was(desk):
    """The same level on both sides: no jumping to and fro; whoever had the lamp keeps it."""
    desk.slots = bytearray(512)
    desk.slots[1:3] = 128, 0
    desk.run(3)
    desk.stage.dial("dim16", level=0x8000 / 65535)
    desk.run(0.1)
    assert desk.holder("dim16") == BY_FEED
    desk.stage.dial("dim16", level=0x8002 / 65535)
    desk.run(0.1)
    assert desk.holder("dim16") == BY_POCKET


def test_sixteen_bit_levels_are_compared_whole(desk):
    desk.stage.dial("dim16", level=0x40FF / 65535)
    desk.slots = bytearray(512)
    desk.slots[1:3] = 0x41, 0x00  # higher, though its low byte is not
    desk.run(3)
    assert desk.span("dim16") == b"\x41\x00"


def test_lamps_of_emitters_take_the_highest_of_each(desk):
    desk.stage.dial("rgb", level=1, hue=0, sat=1)  # red
    desk.slots = bytearray(512)
    desk.slots[19:22] = 0, 0, 200
    desk.run(3)
    own = desk.span("rgb", desk.stage.frame)
    assert desk.span("rgb") == bytes(max(a, b) for a, b in zip(own, (0, 0, 200), strict=True))
    assert desk.holder("rgb") == BY_BOTH
    desk.slots[19:22] = 255, 255, 255
    desk.run(0.1)
    assert desk.holder("rgb") == BY_FEED


def test_slots_of_nobody_are_the_feeds(desk):
    desk.slots = bytearray(512)
    desk.slots[400] = 99
    desk.run(3)
    assert desk.feed.frame[400] == 99


@pytest.mark.parametrize(("rule", "holder"), [(POCKET, BY_POCKET), (FEED, BY_FEED)])
def test_a_lamp_can_be_kept_from_the_other(desk, rule, holder):
    desk.feed.set_rule(desk.now, desk.lamp("dim16"), rule)
    desk.slots = bytearray(512)
    for own, fed in ((0.5, 10), (0.01, 255)):
        desk.stage.dial("dim16", level=own)
        desk.slots[1:3] = fed, 0
        desk.run(3)
        assert desk.holder("dim16") == holder
        assert desk.span("dim16") == (desk.span("dim16", desk.stage.frame) if holder == BY_POCKET else bytes([fed, 0]))


@pytest.fixture
def latest(desk):
    """dim16 by latest takes precedence, the feed at half and holding it."""
    desk.feed.set_rule(desk.now, desk.lamp("dim16"), LATEST)
    desk.slots = bytearray(512)
    desk.slots[1:3] = 128, 0
    desk.run(3)
    assert desk.holder("dim16") == BY_FEED
    return desk


def test_latest_goes_to_who_moved_last(latest):
    latest.stage.dial("dim16", level=0.1)
    latest.run(0.5)
    assert latest.holder("dim16") == BY_POCKET and latest.feed.rule(latest.lamp("dim16")) == LATEST
    latest.slots[1] = 30
    latest.run(0.6)  # it fades over
    assert latest.holder("dim16") == BY_FEED and latest.span("dim16") == b"\x1e\x00"


def test_the_pocket_takes_a_lamp_as_it_stands_on_the_line(latest):
    """The feed has it at half; one stop down by knob is a quarter, not a stop below what the pocket had."""
    latest.stage.shift([latest.lamp("dim16")], "level", -1)
    latest.run(0.1)
    assert latest.span("dim16") == b"\x40\x00"
    latest.stage.store("Dark", [latest.lamp("dim16")])


def test_two_that_move_at_once_do_not_fight(latest):
    """The desk fades; in the middle a look of the pocket fades too: it has begun later and holds to its end."""
    latest.stage.dial("dim16", level=0.9)
    latest.stage.store("Bright", [latest.lamp("dim16")])
    latest.run(0.5)
    latest.slots[1] = 20
    latest.run(0.5)
    holders = []
    for n in range(120):
        latest.slots[1] = 20 + n
        if n == 40:
            latest.stage.go("Bright", 1)
        latest.step()
        holders.append(latest.holder("dim16"))
    assert holders == [BY_FEED] * 40 + [BY_POCKET] * 80


def test_lost_after_125_seconds_and_not_before(desk):
    """ANSI E1.11: a receiver may wait 1.25 s from break to break before it says lost (from memory)."""
    assert LOST_MS == 1250
    desk.slots = ramp()
    desk.run(3)
    desk.slots = None
    desk.step(1250)
    assert desk.feed.state == LIVE
    desk.step(1)
    assert desk.feed.state == LOST and desk.feed.losses == 1
    assert "last frame stays" in desk.feed.message
    desk.run(30)
    assert desk.feed.frame == ramp(), "the last frame goes on"


def test_one_packet_a_second_is_not_lost(desk):
    """The slowest that a transmitter may be: 1 s from break to break (ANSI E1.11)."""
    for n in range(20):
        desk.slots = bytes([n] * 512)
        desk.step(0)
        desk.slots = None
        for _ in range(250):
            desk.step(4)
    assert desk.feed.losses == 0 and desk.feed.hz10 == pytest.approx(10, abs=1)


def test_lost_to_a_look_and_back_without_a_jump(desk):
    desk.stage.dial("dim16", level=1)
    desk.stage.store("Work light")
    desk.stage.dial("dim16", level=0)
    desk.settings.update(lost=desk.stage.show.looks.number("Work light"), lost_ms=4000)
    desk.slots = bytes([200, 0, 0, *[128] * 509])
    desk.run(3)
    desk.slots = None
    frames = [bytes(desk.feed.frame), *desk.run(1.2), *desk.run(4.3)]
    assert desk.feed.message == "Feed lost: to Work light in 4 s"
    assert desk.feed.frame == desk.stage.frame and desk.span("dim16") == b"\xff\xff"
    assert biggest_step(frames) <= 255 * FRAME_MS / 4000 + 1
    desk.slots = bytes([10] * 512)
    frames = [bytes(desk.feed.frame), *desk.run(2.2)]
    assert desk.feed.state == LIVE and desk.feed.message == "The feed is back"
    assert biggest_step(frames) <= 255 * FRAME_MS / 2000 + 1
    assert desk.feed.frame[400] == 10


def test_back_from_holding_is_a_fade_too(desk):
    desk.slots = bytes([250] * 512)
    desk.run(3)
    desk.slots = None
    desk.run(2)
    desk.slots = bytes([5] * 512)
    frames = [bytes(desk.feed.frame), *desk.run(2.2)]
    assert frames[-1] == desk.slots
    assert biggest_step(frames) <= 245 * FRAME_MS / 2000 + 1


def test_a_look_that_is_gone_means_hold(desk):
    desk.settings["lost"] = 9
    desk.slots = ramp()
    desk.run(3)
    desk.slots = None
    desk.run(2)
    assert "own light" in desk.feed.message and desk.feed.frame == ramp()


def test_a_short_feed_leaves_the_rest_to_the_pocket(desk):
    """24 slots: raw4 at 23..26 is only half in it, so it stays with the pocket as a whole."""
    desk.stage.dial("raw4", slot3=65535)
    desk.slots = bytes([77] * 24)
    desk.run(3)
    assert desk.span("rgb") == bytes([77] * 3)
    assert desk.span("raw4") == bytes([0, 0, 255, 0])
    assert desk.holder("raw4") == BY_POCKET
    desk.slots = bytes([77] * 26)
    desk.run(2.2)  # it fades over
    assert desk.span("raw4") == bytes([77, 77, 255, 77])


def test_low_bytes_move_with_their_high_bytes():
    """A fade between two frames treats two slots as one value: it rises all the way and never falls back."""
    desk = Set(("dim16",))
    desk.slots = bytes([0x10, 0xF0] + [0] * 22)
    desk.run(3)
    desk.slots = None
    desk.run(2)
    desk.slots = bytes([0x12, 0x08] + [0] * 22)
    seen = [f[0] << 8 | f[1] for f in desk.run(2.2)]
    assert seen == sorted(seen) and seen[0] <= 0x10F4 and seen[-1] == 0x1208


def test_hue_goes_the_short_way(desk):
    """From 350 to 10 degrees through 0, by the slots of full16 (hue is its fifth value: slots 16 and 17)."""
    at = desk.lamp("full16").address - 1
    frame = bytearray(512)
    frame[at : at + 2] = 255, 255
    frame[at + 8 : at + 10] = divmod(round(350 / 360 * 65535), 256)
    desk.slots = frame
    desk.run(3)
    desk.slots = None
    desk.run(2)
    desk.slots = bytearray(frame)
    desk.slots[at + 8 : at + 10] = divmod(round(10 / 360 * 65535), 256)
    hues = [(f[at + 8] << 8 | f[at + 9]) / 65535 * 360 for f in desk.run(2.2)]
    assert all(hue >= 349 or hue <= 11 for hue in hues)
    assert hues[-1] == pytest.approx(10, abs=0.1)


def test_only_watching_changes_nothing_on_the_line(desk):
    desk.stage.dial("dim16", level=0.5)
    desk.feed.take_over(desk.now, False)
    desk.slots = ramp()
    desk.run(3)
    assert desk.feed.state == LIVE and desk.feed.frame == desk.stage.frame
    desk.feed.take_over(desk.now, True)
    desk.run(3)
    assert desk.feed.frame[100] == ramp()[100]


def test_the_rig_may_change_under_a_feed(desk):
    desk.slots = ramp()
    desk.run(3)
    rig_edit.remove(desk.stage.show.rig, desk.lamp("rgb"))
    desk.stage.show.rig.add("rgbw16", "new", 300)
    desk.run(0.1)
    assert desk.feed.frame == ramp()
    assert desk.holder("new") == BY_BOTH or desk.holder("new") == BY_FEED
    assert desk.feed.rule(desk.lamp("new")) == HIGHEST


def test_master_and_blackout_move_the_pockets_light_alone(desk):
    desk.stage.dial("dim16", level=1)
    desk.slots = bytearray(512)
    desk.slots[0] = 80
    desk.run(3)
    desk.stage.blackout = True
    desk.run(0.1)
    assert desk.span("dim16") == b"\0\0" and desk.span("dim") == b"\x50"


class Tape:
    """Stands for a capture that plays one frame."""

    fade_in_ms = fade_out_ms = 0
    fading = ended = paused = False
    message = ""
    count = 512

    def __init__(self, value):
        self.frame = bytearray([value] * 512)
        self.fresh = True

    def step(self, now):
        was, self.fresh = self.fresh, False
        return was


def test_a_capture_stands_in_for_the_feed(desk):
    desk.slots = bytes([10] * 512)
    desk.run(3)
    player = Tape(99)
    desk.feed.play(desk.now, player)
    desk.run(0.1)
    assert desk.feed.frame[400] == 99 and desk.feed.word() == "plays"
    player.ended = True
    desk.run(2.5)
    assert desk.feed.player is None and desk.feed.frame == desk.slots, "the desk has it back"


def test_after_a_capture_a_lost_feed_is_not_what_the_capture_showed(desk):
    desk.slots = bytes([10] * 512)
    desk.run(3)
    player = Tape(99)
    desk.feed.play(desk.now, player)
    desk.slots = None
    desk.run(2)
    assert desk.feed.state == LOST
    desk.feed.play(desk.now, None)
    desk.run(2.2)
    assert desk.feed.frame == desk.stage.frame


def test_who_holds_a_lamp_outlives_a_change_of_the_rig(latest):
    """dim16 is the feed's by the latest move; another lamp comes and one goes: it stays the feed's, without a jump."""
    frame = latest.span("dim16")
    rig = latest.stage.show.rig
    rig.add("dim", "more", 400)
    latest.run(0.1)
    rig_edit.remove(rig, latest.lamp("dim"))
    frames = latest.run(0.3)
    assert latest.holder("dim16") == BY_FEED
    assert {latest.span("dim16", f) for f in frames} == {frame}


def test_blackout_says_that_the_feeds_light_stays(desk):
    desk.slots = bytes([80] * 512)
    desk.run(3)
    desk.stage.blackout = True
    desk.run(0.1)
    assert desk.feed.message == "Blackout is the pocket's: the feed's light stays"
    assert desk.feed.frame[0] == 80


@pytest.mark.parametrize("count", [19, 22, 26, 40, 511])
def test_the_last_slot_of_a_short_feed_counts(desk, count):
    """ANSI E1.11: a packet may have fewer than 512 slots; all that it has are data."""
    desk.slots = bytes([9] * (count - 1) + [200])
    desk.run(3)
    assert desk.feed.frame[count - 1] == 200 and desk.feed.frame[count] == desk.stage.frame[count]
