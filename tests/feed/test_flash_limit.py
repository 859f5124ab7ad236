"""A capture that plays is held under the limit on flashing; a live feed never is. By the frames that go out, with the
counter of tests/day/flashes.py (WCAG 2.2, 2.3.1)."""

import random

from tests.day import flashes, glow
from tests.feed.conftest import FRAME_MS, Set

_SECOND = round(1000 / FRAME_MS)


class Playing:
    """Stands in for a capture that plays: its slots are what the test says."""

    fade_in_ms = fade_out_ms = 0
    paused = ended = fading = False
    message = ""
    number = 1

    def __init__(self):
        self.frame, self.count, self.due = bytearray(512), 512, []

    def step(self, _now):
        """The next frame, if there is one."""
        if not self.due:
            return False
        self.frame[:] = self.due.pop(0)
        return True


def strobe(seconds, slots):
    """Frames in which these slots are full and out in turn, six times a second."""
    out = []
    for n in range(round(seconds * 1000 / FRAME_MS)):
        on = n * FRAME_MS * 6 // 1000 % 2 if n % 2 else n * FRAME_MS * 12 // 1000 % 2
        out.append(bytes(255 * on if i in slots else 0 for i in range(512)))
    return out


def played(desk, frames):
    """What goes out while a capture of these frames plays."""
    player = Playing()
    desk.feed.play(desk.now, player)
    player.due = list(frames)
    return desk.run(len(frames) * FRAME_MS / 1000)


def worst(desk, frames, free=()):
    """Flashes in the worst second, of lamps and of slots that no lamp has."""
    most = 0
    for curve in glow.USUAL:
        rows = [glow.rows(f, frames, curve) for f in desk.stage.show.rig.fixtures]
        law = glow.CURVES[curve]
        rows += [[(law(frame[i] / 255),) * 4 for frame in frames] for i in free]
        rows.append(glow.mean(rows))
        most = max(most, *[flashes.worst_light(row, _SECOND) for row in rows])
    return most


def test_a_capture_of_a_strobe_is_held():
    desk = Set(("dim", "rgb"))
    frames = played(desk, strobe(20, range(512)))
    assert worst(desk, frames, (100, 511)) <= 3
    assert len(set(frames)) > 1  # but it plays


def test_a_capture_of_noise_is_held():
    desk, dice = Set(("dim", "dim16", "rgb", "rgbw16", "raw4")), random.Random(4)
    frames = played(desk, [bytes(dice.choice((0, 128, 255)) for _ in range(512)) for _ in range(600)])
    assert worst(desk, frames, (200, 300)) <= 3


def test_a_capture_that_does_not_flash_is_as_it_was_recorded():
    desk = Set(("dim", "dim16", "rgb"))
    ramp = [bytes([n % 256] * 512) for n in range(256)]
    assert played(desk, ramp)[1:] == ramp[1:]


def test_the_same_from_a_desk_is_let_through():
    desk = Set(("dim", "rgb"))
    frames, out = strobe(6, range(512)), []
    desk.slots = frames[0]
    desk.run(3)
    for slots in frames:
        desk.slots = slots
        out.append(desk.step())
    assert out == frames and worst(desk, out) > 3


def test_the_pocket_is_not_held_while_a_capture_flashes():
    desk = Set(("dim", "rgb"))
    desk.settings["rules"] = {1: 2}  # the pocket's
    desk.feed.rules_changed()
    player = Playing()
    desk.feed.play(desk.now, player)
    player.due = strobe(8, range(1, 512))
    desk.run(3)
    for n in range(60):
        desk.stage.dial("dim", level=n % 2)
        assert desk.step()[0] == 255 * (n % 2)
