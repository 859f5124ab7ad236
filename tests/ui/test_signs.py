"""The fonts have every sign that the device's own words are made of: no "?" in place of one.

What is drawn in fact is held by tests/screens/test_scenes.py and by the walker; here is what may be drawn some day.
"""

from pathlib import Path

import pytest

from firmware.ui.fonts import body, body_plain, figures, small, small_plain, tiny, tiny_plain
from firmware.ui.frame import glyphs
from firmware.ui.pages.light import light_words
from tests import signs

FIRMWARE = Path(glyphs.__file__).parents[2]
GESTURES = set("↻⤓")  # drawn in hints of the small panel only: page_draw.gesture_sign
SIZES = {"tiny": (tiny, tiny_plain), "small": (small, small_plain), "body": (body, body_plain)}
NOT_WORDS = (*(FIRMWARE / "ui/fonts").glob("*.py"), *(FIRMWARE / "ui/frame").glob("glyphs*.py"))
WORDS = [(path, line, text) for path in sorted(FIRMWARE.rglob("*.py")) if path not in NOT_WORDS
         for line, text in sorted(signs.constants(path.read_text()))]


def lacking(text, whole, plain):
    """The characters of a text that show as "?" in one size, in the font that the canvas takes for it."""
    return set(text) - {"\n"} - signs.of((whole if glyphs.accented(text) else plain).DATA)


@pytest.mark.parametrize("size", SIZES)
def test_all_strings_of_the_firmware(size):
    """Nearly any of them may come to the screen: pages' words, and reasons that other layers give."""
    assert len(WORDS) > 1000
    found = [(path.name, line, text, lacking(text, *SIZES[size]) - (set() if size == "tiny" else GESTURES))
             for path, line, text in WORDS]
    assert not [one for one in found if one[3]]


def test_a_sign_that_is_missing_is_found():
    source = '"""′ in a docstring."""\nWORDS = f"{1} ✗"\n\ndef f():\n    "″"\n    return "↻"\n'
    assert signs.constants(source) == {(2, " ✗"), (6, "↻")}
    assert lacking("9′", small, small_plain) == {"′"} and lacking("é✗", tiny, tiny_plain) == {"✗"}
    assert lacking("↻", small, small_plain) == {"↻"} and not lacking("↻é±", tiny, tiny_plain)


def test_gesture_signs_stay_on_the_small_panel():
    """They are in no other file than the one that asks which panel it is."""
    assert {path.name for path, _line, text in WORDS if GESTURES & set(text)} == {"page_draw.py"}


@pytest.mark.parametrize("level", range(4))
@pytest.mark.parametrize(("white", "green"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_the_large_figures_have_what_light_is_told_in(level, white, green):
    """Every value that the knob can dial, in each unit, and the span of two of them."""
    settings = {"level": level, "white": white, "green": green}
    values = {"level": [2 ** (-n / 20) for n in range(300)] + [0], "cct": range(1000, 20001, 50), "hue": range(361),
              "duv": [n / 2000 for n in range(-100, 101)], "sat": [n / 100 for n in range(101)],
              "mix": [n / 100 for n in range(101)], "zoom": range(0, 65536, 257)}
    for what, every in values.items():
        for value in every:
            number = light_words.figure(settings, what, value)[0]
            assert set(number + "…") <= signs.of(figures.DATA), (what, value, number)
