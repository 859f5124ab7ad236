"""A restart right after a fade: what the line showed is what comes back, by the frames on the line."""

import pytest

from sim import Bench


@pytest.mark.parametrize(("seconds", "later"), [(2, 0.7), (6, 0.05), (6, 0.6)])
def test_a_restart_after_a_fade_does_not_go_back_into_it(seconds, later):
    """The state on flash may be of the midst of the fade, up to 5 s old; the line never leaves its end."""
    with Bench(board="pico2_tft", show="demo") as b:
        b.run(1)
        stage, looks = b.app.stage, {}
        for name, level in (("Bright", 1), ("Dark", 0)):
            for f in b.app.show.rig.fixtures:
                stage.dial(f, level=level)
            stage.store(name)
        b.run(7)  # that is kept
        b.app.stage.go("Bright", seconds)
        b.run(seconds + later)
        end = b.frame
        b.restart()
        for _ in range(10):
            b.run(0.2)
            looks[b.frame] = 1
        assert list(looks) == [end] and b.app.stage.left() == 0


def test_a_restart_in_a_fade_goes_on_with_it():
    with Bench(board="pico2_tft", show="demo") as b:
        b.run(1)
        for f in b.app.show.rig.fixtures:
            b.app.stage.dial(f, level=1)
        b.app.stage.store("Bright")
        for f in b.app.show.rig.fixtures:
            b.app.stage.dial(f, level=0)
        b.run(7)
        b.app.stage.go("Bright", 60)
        b.run(10)
        b.restart()
        b.run(0.2)
        assert 40 < b.app.stage.left() / 1000 < 60
