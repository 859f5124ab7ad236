"""The golden screens themselves: pictures and hashes agree, and check() can fail."""

import pytest
from PIL import Image

from sim import panels
from tests import screens
from tests.screens import __main__ as page


def test_every_picture_has_its_hash():
    kept = screens.hashes()
    assert {path.stem for path in screens.KEPT.glob("*.png")} == set(kept)
    for name, value in kept.items():
        with Image.open(screens.KEPT / f"{name}.png") as picture:
            rgb = picture.convert("RGB")
            assert screens.digest(*rgb.size, rgb.tobytes()) == value, name


@pytest.fixture
def elsewhere(tmp_path, monkeypatch):
    """Keep what these tests record out of the repository."""
    monkeypatch.setattr(screens, "KEPT", tmp_path)
    monkeypatch.setattr(screens, "HASHES", tmp_path / "hashes.txt")
    monkeypatch.setattr(screens, "NEW", tmp_path / "out" / "new")
    monkeypatch.setattr(page, "OUT", tmp_path / "out")
    return tmp_path


def test_record_check_and_difference(elsewhere, capsys):
    panel, screen = panels.make("sh1106")
    with pytest.raises(AssertionError, match="has no kept screen"):
        screens.check("one", screen, "check")
    screens.check("one", screen, "record")
    screens.check("one", screen, "check")
    panel.buffer[5] = 0xFF
    panel.show(0, 8)
    with pytest.raises(AssertionError, match="is not as kept"):
        screens.check("one", screen, "check")
    screens.check("one", screen, "page")
    assert page.main() == 0
    assert "one: changed" in capsys.readouterr().out
    with Image.open(elsewhere / "out" / "difference-one.png") as changed:
        assert changed.getbbox() == (5, 0, 6, 8)
    assert "one: changed" in (elsewhere / "out" / "index.html").read_text()


def test_a_name_must_be_plain():
    with pytest.raises(ValueError, match="cannot name a screen"):
        screens.check("../one", None, "check")
