"""The tick's loops: the native twin, exactness, no allocation."""

import math

import pytest

from firmware.stage import patch_fields as fields
from firmware.stage import tick_loops
from firmware.stage.patch_build import soft_curve
from tests.vm import runner


def test_native_and_plain_are_equal_on_the_vm():
    assert runner.run("tests/vm/tick_loops_twins.py", runner.ROOT).strip() == "equal 300"


def test_native_and_plain_loops_of_the_limiter_are_equal_on_the_vm():
    assert runner.run("tests/vm/flash_loops_twins.py", runner.ROOT, heap="1m").strip() == "equal 200"


@pytest.mark.parametrize("a", [-(1 << 20), -70000, -1, 0, 1, 255, 65535, 1 << 20])
@pytest.mark.parametrize("b", [0, 1, 255, 256, 32768, 65535, 65536])
def test_mul16_rounds_to_the_nearest_step(a, b):
    assert abs(fields.mul16(a, b) - a * b / 65536) <= 1


@pytest.mark.parametrize("whole", [1, 3, 1000, 22700, 599999, 600000])
def test_share_is_exact_to_one_part_in_65536(whole):
    for k in range(101):
        done = whole * k // 100
        assert abs(done / whole * 65536 - tick_loops.share(done, whole)) <= 0.5


@pytest.mark.parametrize(("k0", "k1"), [
    (2700, 6500), (6500, 2700), (3200, 5600), (1800, 12000), (12000, 1800), (5000, 5000)])
def test_white_moves_evenly_in_mired(k0, k1):
    """Mired are even steps of 1e6 / kelvin (the definition of the unit)."""
    most = max(k0, k1)
    for u in range(0, 65537, 97):
        mired = 1e6 / k0 + (1e6 / k1 - 1e6 / k0) * u / 65536
        exact = (1e6 / mired - k0) / (k1 - k0) * 65536 if k0 != k1 else u
        assert abs(tick_loops.white(k0 * 32767 // most, k1 * 32767 // most, u) - exact) <= 3


def test_the_s_curve():
    table = soft_curve()
    for u in range(0, 65537, 13):
        x = u / 65536
        assert abs(tick_loops.soft(table, u) / 65536 - x * x * (3 - 2 * x)) < 2.5 / 65536
    assert math.isclose(table[128], 32768, abs_tol=1)


def test_what_slows_lamps_is_the_same_in_native_code():
    assert runner.run("tests/vm/lag_loops_twins.py", runner.ROOT).strip() == "equal 150"
