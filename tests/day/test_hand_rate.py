"""What a hand does too fast is never held back, but said with its rate: by the lines on the screen and the frames."""

import pytest

from sim import Bench


def test_a_blackout_key_that_is_beaten_is_said():
    """Eight presses in a second, with no effect loaded: a change of light for each."""
    with Bench(board="pico2_tft", show="demo") as b:
        b.run(2)
        for f in b.app.show.rig.fixtures:
            b.app.stage.dial(f, level=1)
        b.run(1)
        seen = []
        for n in range(10):
            b.tap("black")
            seen.append(b.app.stage.blackout == (n % 2 == 0))
        assert all(seen)  # none was refused
        assert any("By hand" in line and "flashes a second" in line for line in b.lines), b.lines


@pytest.mark.parametrize("presses", [1, 3])
def test_a_few_presses_are_not_spoken_of(presses):
    with Bench(board="pico2_tft", show="demo") as b:
        b.run(2)
        for _ in range(presses):
            b.tap("black")
        b.run(0.5)
        assert not any("By hand" in line for line in b.lines)
