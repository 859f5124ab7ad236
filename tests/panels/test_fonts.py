"""The packed fonts: as the script packs them, whole, legible in size, small in memory, licence kept."""

from pathlib import Path

import pytest

from firmware.ui.fonts import body, body_plain, figures, small, small_plain, tiny, tiny_plain
from firmware.ui.frame import glyphs
from host import fonts

ROOT = Path(fonts.ROOT)
DATA = {"tiny": tiny.DATA, "small": small.DATA, "body": body.DATA, "figures": figures.DATA}
LATIN_1 = [*range(0x20, 0x7F), *range(0xA0, 0x100)]  # ISO/IEC 8859-1's printing characters
SIGNS = "±°∆←→↑↓✓…⅓½⅔¼⅛"


def bitmap(data, character):
    """Rows of one glyph as ints, and its width."""
    at = glyphs.place(data, ord(character))
    width, rows = data[at + 2], data[at + 3]
    step = (width + 7) // 8
    return [int.from_bytes(data[at + 4 + step * r:at + 4 + step * (r + 1)], "big") for r in range(rows)], width


def test_as_the_script_packs_them(capsys):
    try:
        fonts.face("DejaVuSans.ttf", 9)
    except FileNotFoundError as error:
        pytest.skip(str(error))
    assert fonts.main(["--check"]) == 0, capsys.readouterr().err


@pytest.mark.parametrize("name", ["tiny", "small", "body"])
def test_latin_1_and_the_signs(name):
    data = DATA[name]
    question = glyphs.place(data, 63)
    for code in [*LATIN_1, *map(ord, SIGNS)]:
        assert code == 63 or glyphs.place(data, code) != question, chr(code)
        assert bitmap(data, chr(code))[0] or code in (0x20, 0xA0), chr(code)  # its source has it: a sign has ink


@pytest.mark.parametrize(("plain", "whole"), [
    (tiny_plain, tiny), (small_plain, small), (body_plain, body),
])
def test_plain_fonts_are_the_whole_ones_without_accents(plain, whole):
    """What `accented` lets pass is in both, and looks the same; so nothing moves when the whole ones come."""
    assert plain.DATA[:2] == whole.DATA[:2]
    for code in [*LATIN_1, *map(ord, SIGNS + "½⅓⅔¼¾⅛−–●○▶")]:
        if not glyphs.accented(chr(code)):
            one, other = glyphs.place(plain.DATA, code), glyphs.place(whole.DATA, code)
            assert (plain.DATA[one], plain.DATA[one + 1]) == (whole.DATA[other], whole.DATA[other + 1])
            assert bitmap(plain.DATA, chr(code)) == bitmap(whole.DATA, chr(code)), chr(code)
            assert code == 63 or one != glyphs.place(plain.DATA, 63)
    assert glyphs.place(plain.DATA, ord("Ä")) == glyphs.place(plain.DATA, 63)


def test_figures_have_what_a_level_needs():
    question = glyphs.place(figures.DATA, 63)
    for character in "0123456789+-−±.,:/%°⅓½⅔¼⅛ KFULLOUT…":
        assert glyphs.place(figures.DATA, ord(character)) != question, character


@pytest.mark.parametrize("name", DATA)
def test_no_two_of_the_characters_look_the_same(name):
    letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz½⅓⅔¼⅛"
    if name == "figures":
        letters = "".join(letter for letter in letters if not letter.islower())  # it has capitals only
    seen = {str((bitmap(DATA[name], c), DATA[name][glyphs.place(DATA[name], ord(c)) + 1])): c for c in letters}
    assert len(seen) == len(letters)


@pytest.mark.parametrize("name", DATA)
def test_every_glyph_stays_in_its_line(name):
    data = DATA[name]
    for code in [*LATIN_1, *map(ord, SIGNS)]:
        at = glyphs.place(data, code)
        assert (data[at + 1] & 63) + data[at + 3] <= data[0], chr(code)


def test_sizes():
    """The largest figures are 24 px high or more: readable at arm's length."""
    assert all(len(bitmap(figures.DATA, figure)[0]) >= 24 for figure in "0123456789")
    assert [DATA[name][0] for name in DATA] == [9, 15, 20, 38]


def test_memory():
    """.mpy keeps bytes in RAM: under 16 KB for the three sizes of either panel."""
    assert sum(map(len, (small.DATA, body.DATA, figures.DATA))) < 16384
    assert sum(map(len, (tiny.DATA, small.DATA, body.DATA))) < 16384


def test_licence_is_kept():
    said = (ROOT / "firmware/ui/fonts/FONTS.txt").read_text()
    assert "Bitstream Vera Fonts Copyright" in said and "Arev Fonts Copyright" in said
    assert "Permission is hereby granted, free of charge" in said
    assert "Copyright 1988, 1994 Digital Equipment Corporation" in said  # of X11's bitmaps
    assert "Permission to use, copy, modify, distribute and sell this software" in said


def test_a_missing_source_says_what_to_do(monkeypatch):
    monkeypatch.setattr(fonts, "PLACES", ())
    with pytest.raises(FileNotFoundError, match="npm install"):
        fonts.face("DejaVuSans.ttf", 9)
