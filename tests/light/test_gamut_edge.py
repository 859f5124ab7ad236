"""Emitters anywhere, nearly alike, or exactly on the line between two others: no jump, inside the gamut, at its edge
and past it, and the light of SciPy's linear program, in the chips' single precision. Wanted are 1 % of the light and
0.0005 in xy."""

import pytest

from tests.light import gamut_walk, lamps


@pytest.mark.parametrize("kind", [lamps.some, lamps.anywhere, lamps.in_line, lamps.alike])
def test_any_set_walks_without_a_jump_and_gives_the_light_that_there_is(kind):
    found = gamut_walk.worst(kind, lamps.dice(31), 40)
    assert found["n"] > 300
    assert found["jump"] < 0.03
    assert found["light_percent"] < 0.5
    assert found["xy"] < 0.0003
