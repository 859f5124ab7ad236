"""Every machine, rp2, esp32 and uctypes call in hal/ against MicroPython's type stubs (make types fetches them)."""

import pytest

from tests.wire import stubs


@pytest.mark.parametrize("chip", ["rp2", "esp32"])
def test_calls_fit_the_stubs(chip):
    if not (stubs.STUBS / chip / "machine.pyi").exists():
        pytest.skip("no stubs in build/typings: make types fetches them")
    assert stubs.problems(chip) == []


def test_the_check_can_fail(monkeypatch, tmp_path):
    """A call that the chip does not have is found."""
    if not (stubs.STUBS / "rp2" / "machine.pyi").exists():
        pytest.skip("no stubs in build/typings: make types fetches them")
    copies = stubs.copies

    def spoilt(chip):
        folder = copies(chip)
        knob = folder / "hal/rp2/knob.py"
        knob.write_text(knob.read_text().replace("self._machine.active(1)", "self._machine.begin()"))
        return folder

    monkeypatch.setattr(stubs, "COPIES", tmp_path)
    monkeypatch.setattr(stubs, "copies", spoilt)
    assert any('"StateMachine" has no attribute "begin"' in line for line in stubs.problems("rp2"))
