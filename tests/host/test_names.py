"""Names for the device: each sign of what comes out is in its fonts, and what can be kept is kept.

What a letter is without its accent: Unicode's decompositions, by Python's unicodedata. What Ł, Đ and the like become
is common practice in passports and the like (ICAO Doc 9303, part 3, gives L, D, OE; from memory).
"""

import json

import pytest

from firmware.ui.fonts import body, small, tiny
from host import Refused, gdtf, import_gdtf, names, new
from tests import signs
from tests.host import gdtf_files

CASES = {
    "Café Ångström": "Café Ångström",  # ISO/IEC 8859-1 has them
    "Cafe\u0301": "Café",  # as some computers send it: the accent by itself
    "Łódź Őr Žižkov": "Lódz Or Zizkov",
    "Đurđa Œuvre ıŞ": "Durda OEuvre iS",
    "Anna’s “key” — 5′": "Anna's \"key\" – 5'",
    " two\twords\n": "two words",
    "½ ± 3200°": "½ ± 3200°",
}


@pytest.mark.parametrize("name", CASES)
def test_what_can_be_kept_is_kept(name):
    assert names.written(name) == (CASES[name], "")
    assert names.good(name) == CASES[name]
    for font in (tiny, small, body):
        assert set(CASES[name]) <= signs.of(font.DATA)


def test_the_fonts_have_what_is_let_through():
    for font in (tiny, small, body):
        assert not names.DRAWN - signs.of(font.DATA)


@pytest.mark.parametrize(("name", "told"), [("灯", "灯"), ("Key 🎬", "🎬"), ("מנורה", "מנורה")])
def test_what_has_no_sign_is_refused(name, told):
    with pytest.raises(Refused, match=f"no sign for '{told}'.*Latin letters"):
        names.good(name)


def test_a_show_by_a_name_with_other_letters(tmp_path):
    assert new.main(["Łódź", "--in", str(tmp_path)]) == 0
    (path,) = tmp_path.rglob("show.json")
    assert json.loads(path.read_bytes().decode().split("\n")[0])["name"] == "Lódz"
    with pytest.raises(Refused, match="no sign"):
        new.main(["灯", "--in", str(tmp_path)])
    assert len(list(tmp_path.rglob("show.json"))) == 1


def test_a_lamp_by_a_name_with_other_letters(tmp_path):
    modes = {"Tryb 灯": [gdtf_files.channel("Dimmer", (1,))]}
    path = gdtf_files.fixture(tmp_path / "lamp.gdtf", modes, name="Żuraw 60")
    lamp = gdtf.load(path)
    made, notes = gdtf.convert(lamp, lamp.dmx_modes[0])
    assert made.name == "Zuraw 60 Tryb" and any("no sign for 灯" in note for note in notes)
    with pytest.raises(Refused, match="no sign for '灯'"):
        import_gdtf.main([path, "--name", "灯"])
