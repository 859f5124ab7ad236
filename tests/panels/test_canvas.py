"""The canvas: what it draws stays inside, and only what changed is sent. Judged by the emulators' pixels."""

import random

import pytest

from firmware.ui.frame import canvas as made
from firmware.ui.frame import theme
from firmware.ui.frame.canvas import BIG, BODY, CENTRE, RIGHT, SMALL, Canvas
from sim import panels

NAMES = ("st7789", "sh1106")


def a_canvas(name="st7789"):
    panel, screen = panels.make(name)
    panel.brightness(100)
    canvas = Canvas(panel)
    canvas.fill(theme.PAPER)
    while not canvas.flush():
        pass
    screen.touched()
    return canvas, screen


def lit(screen):
    """Places that are not paper: set of (x, y)."""
    rgb, w = screen.rgb(), screen.width
    return {(i % w, i // w) for i in range(w * screen.height) if rgb[3 * i:3 * i + 3] != b"\0\0\0"}


def sent(canvas, screen):
    """Flush all. -> bytes sent."""
    before = screen.bytes
    while not canvas.flush():
        pass
    return screen.bytes - before


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("font", [SMALL, BODY, BIG])
def test_text_is_where_it_says(name, font):
    canvas, screen = a_canvas(name)
    width = canvas.text("Kg5", 20, 8, font, theme.TEXT)
    sent(canvas, screen)
    places = lit(screen)
    assert width == canvas.measure("Kg5", font)
    assert {20 <= x < 20 + width and 8 <= y < 8 + canvas.line_height(font) for x, y in places} == {True}


@pytest.mark.parametrize("name", NAMES)
def test_alignment(name):
    canvas, screen = a_canvas(name)
    width = canvas.text("HH", 60, 0, SMALL, theme.TEXT, None, None, RIGHT)
    sent(canvas, screen)
    assert {x < 60 for x, _ in lit(screen)} == {True} and max(x for x, _ in lit(screen)) >= 60 - 3
    canvas.fill(theme.PAPER)
    canvas.text("HH", 10, 0, SMALL, theme.TEXT, None, 100, CENTRE)
    sent(canvas, screen)
    middle = (min(x for x, _ in lit(screen)) + max(x for x, _ in lit(screen))) / 2
    assert abs(middle - 59.5) <= 1.5 and width == canvas.measure("HH", SMALL)


@pytest.mark.parametrize("name", NAMES)
def test_too_long_ends_in_an_ellipsis(name):
    canvas, screen = a_canvas(name)
    width = canvas.text("Background light", 5, 0, SMALL, theme.TEXT, None, 50)
    sent(canvas, screen)
    places = lit(screen)
    assert 30 < width <= 50 and max(x for x, _ in places) < 55
    whole, shown = a_canvas(name)
    cut = max(n for n in range(16) if whole.measure("Background light"[:n] + "…", SMALL) <= 50)
    whole.text("Background light"[:cut] + "…", 5, 0, SMALL, theme.TEXT)
    sent(whole, shown)
    assert places == lit(shown)


def test_paper_fills_the_field():
    canvas, screen = a_canvas()
    canvas.text("x", 10, 20, BODY, theme.PAPER, theme.HOT, 60)
    sent(canvas, screen)
    rows = {y for _, y in lit(screen)}
    assert rows == set(range(20, 20 + canvas.line_height(BODY)))
    assert min(x for x, _ in lit(screen)) == 10 and max(x for x, _ in lit(screen)) == 69


def scribble(canvas, dice, calls):
    """Random calls, many half outside; no text is wider than its field."""
    words = ["", "Key", "−1⅓", "Background ÅÄÖ", "日本", "W" * 40]
    inks = range(8)
    for _ in range(calls):
        x, y = dice.randrange(-60, canvas.width + 20), dice.randrange(-40, canvas.height + 20)
        w, h, what = dice.randrange(120), dice.randrange(60), dice.randrange(6)
        if what == 0:
            width = dice.choice((None, w))
            drawn = canvas.text(dice.choice(words), x, y, dice.randrange(3), dice.choice(inks),
                                dice.choice((None, theme.PANEL)), width, dice.randrange(3))
            assert drawn <= (canvas.width if width is None else max(0, width))
        elif what == 1:
            canvas.box(x, y, w, h, dice.choice(inks))
        elif what == 2:
            canvas.frame(x, y, w, h, dice.choice(inks))
        elif what == 3:
            canvas.bar(x, y, w, h, dice.randrange(65537), theme.HOT, theme.LOW)
        elif what == 4:
            canvas.swatch(x, y, w, h, dice.randrange(8))
        else:
            canvas.tint(dice.randrange(8), *(dice.randrange(256) for _ in range(3)))


@pytest.mark.parametrize("name", NAMES)
def test_what_was_painted_over_is_not_missed(name, monkeypatch):
    """Strokes that are hidden are forgotten, and bands that look as before not painted: the picture is as if every
    stroke had been kept and every band been sent, on 40 scribbled screens, each drawn on by small changes."""
    seen = []
    for plain in (False, True):
        if plain:
            monkeypatch.setattr(made.strokes, "hide", lambda *_args: None)
            monkeypatch.setattr(made, "_MOST", 1000)
        dice = random.Random(11)
        canvas, screen = a_canvas(name)
        for _ in range(40):
            canvas.fill(theme.PAPER)
            for calls in (20, 5, 5, 5, 5):
                scribble(canvas, dice, calls)
                if plain:
                    canvas._sent[:] = made.array("i", [-1] * len(canvas._sent))
                sent(canvas, screen)
                seen.append(screen.rgb())
        assert not canvas.crowded
    assert seen[:200] == seen[200:]


def test_a_page_redrawn_in_parts_for_ever_keeps_within_its_strokes():
    canvas, screen = a_canvas()
    for n in range(1000):
        canvas.box(0, 40, 320, 40, theme.PAPER)
        canvas.text("%d K" % n, 10, 42, BODY, theme.TEXT, theme.PANEL, 100)
        canvas.bar(10, 70, 100, 8, n * 60, theme.HOT, theme.LOW)
    assert not canvas.crowded
    sent(canvas, screen)
    whole, shown = a_canvas()
    whole.text("999 K", 10, 42, BODY, theme.TEXT, theme.PANEL, 100)
    whole.bar(10, 70, 100, 8, 999 * 60, theme.HOT, theme.LOW)
    sent(whole, shown)
    assert screen.rgb() == shown.rgb()


def test_too_many_strokes_lose_the_last_and_say_so():
    canvas, screen = a_canvas()
    for n in range(made._MOST + 5):
        canvas.frame(2 * n, 2 * n, 2, 2, theme.TEXT)
    assert canvas.crowded
    sent(canvas, screen)
    places = lit(screen)
    assert max(places) == (2 * made._MOST - 3, 2 * made._MOST - 3)  # the fill is a stroke too


@pytest.mark.parametrize("name", NAMES)
def test_unchanged_bands_are_not_sent(name):
    canvas, screen = a_canvas(name)

    def page(level):
        canvas.fill(theme.PAPER)
        canvas.text("Light", 0, 0, SMALL, theme.TEXT)
        canvas.text(level, 0, 24, SMALL, theme.TEXT)

    page("5600 K")
    whole = sent(canvas, screen)
    assert whole > 0
    page("5600 K")
    assert sent(canvas, screen) == 0
    screen.touched()
    page("5650 K")
    assert sent(canvas, screen) > 0
    top, bottom = screen.touched()
    assert top == 24 and bottom <= 40  # the bands of eight rows that the changed line stands in


def test_a_new_tint_sends_the_swatch_again_and_nothing_else():
    canvas, screen = a_canvas()
    canvas.tint(2, 255, 0, 0)
    canvas.swatch(0, 80, 20, 16, 2)
    canvas.swatch(0, 120, 20, 8, 3)
    sent(canvas, screen)
    screen.touched()
    canvas.tint(2, 0, 0, 255)
    assert sent(canvas, screen) > 0
    assert screen.touched() == (80, 96)
    at = 3 * (85 * 320 + 5)
    assert screen.rgb()[at:at + 3] == b"\0\0\xff"
    canvas.fill(theme.PAPER)  # the same page again, drawn anew after the colour has changed
    canvas.tint(2, 0, 255, 0)
    canvas.swatch(0, 80, 20, 16, 2)
    canvas.swatch(0, 120, 20, 8, 3)
    assert sent(canvas, screen) > 0 and screen.touched() == (80, 96)
    assert screen.rgb()[at:at + 3] == b"\0\xff\0"


def test_flush_sends_eight_rows_at_a_time():
    canvas, screen = a_canvas()
    canvas.fill(theme.TEXT)
    calls, before = 0, screen.bytes
    while not canvas.flush():
        calls += screen.bytes > before
        assert screen.bytes - before <= 6 + 8 * 640
        before = screen.bytes
    assert calls == 240 // 8


def test_swatch_with_one_bit_tells_its_level_by_height():
    canvas, screen = a_canvas("sh1106")
    counts = []
    for level in (0, 60, 120, 255):
        canvas.tint(0, level, level // 2, 0)
        canvas.swatch(10, 10, 12, 20, 0)
        sent(canvas, screen)
        places = lit(screen)
        assert {(10, 10), (21, 29), (10, 29), (21, 10)} <= places  # the frame
        counts.append(len(places))
    assert counts == sorted(set(counts)) and counts[-1] == 12 * 20


def test_ink_names_are_distinct():
    values = [getattr(theme, name) for name in ("PAPER", "PANEL", "EDGE", "LOW", "DIM", "TEXT", "HOT", "WARN")]
    assert values == list(range(8)) and theme.SWATCH0 + theme.SWATCHES == 16
    assert len({made.SMALL, made.BODY, made.BIG}) == 3


@pytest.mark.parametrize("name", NAMES)
def test_an_accented_letter_brings_the_whole_fonts(name):
    """It is not the question mark that the plain fonts have for it, and texts without it look as before."""
    canvas, _screen = a_canvas(name)
    plain = canvas.measure("Grun 50°", BODY)
    assert canvas.measure("Ü", BODY) == made.glyphs.measure(canvas._data[BODY], "U", 1)
    assert made.glyphs.place(canvas._data[BODY], ord("Ü")) != made.glyphs.place(canvas._data[BODY], 63)
    assert canvas.measure("Grun 50°", BODY) == plain


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("sent_first", [0, 1, 3])
def test_an_accented_letter_while_the_largest_font_waits_to_be_painted(name, sent_first):
    """Its strokes are listed and their font is dropped for the whole ones: it comes back, and the picture is that of a
    canvas which had the whole fonts from the start."""
    canvas, screen = a_canvas(name)
    whole, shown = a_canvas(name)
    whole.measure("é", BODY)
    for c in (canvas, whole):
        c.text("12", 0, 0, BIG, theme.TEXT)
        for _ in range(sent_first):
            c.flush()
        c.text("Café", 0, 32, BODY, theme.TEXT)
    sent(canvas, screen)
    sent(whole, shown)
    assert screen.rgb() == shown.rgb() and len(lit(screen)) > 40


def test_without_room_for_them_it_shows_as_a_question_mark(monkeypatch):
    canvas, _screen = a_canvas("sh1106")

    def full(*_args):
        raise MemoryError

    monkeypatch.setattr(made, "_load", full)
    assert canvas.measure("Ü", BODY) == canvas.measure("?", BODY)
    assert canvas.measure("12", BIG) == canvas.measure("12", BODY)  # nor for the largest


@pytest.mark.parametrize("name", NAMES)
def test_the_largest_font_goes_with_the_page_that_wrote_with_it(name):
    canvas, screen = a_canvas(name)
    canvas.text("12", 0, 0, BIG, theme.TEXT)
    canvas.rest()
    sent(canvas, screen)  # what is on its way to the panel still has it
    before = screen.rgb()
    assert len(lit(screen)) > 20
    canvas.fill(theme.PAPER)
    assert not canvas._data[BIG]
    canvas.text("12", 0, 0, BIG, theme.TEXT)
    sent(canvas, screen)
    assert screen.rgb() == before
