"""The wiring picture: every wire in it, none crossing, every word inside the sheet."""

import itertools
import xml.etree.ElementTree as ET

import pytest

import boards
from boards import chips, circuit, modules, nets, picture

BOARDS = [boards.load(name) for name in boards.NAMES]
SVG = "{http://www.w3.org/2000/svg}"
each = pytest.mark.parametrize("board", BOARDS, ids=boards.NAMES)


def cross(a, b):
    """True where two axis-parallel segments touch. a, b: ((x, y), (x, y))."""
    def reach(segment, axis):
        return sorted((segment[0][axis], segment[1][axis]))
    return all(max(reach(a, k)[0], reach(b, k)[0]) <= min(reach(a, k)[1], reach(b, k)[1]) for k in (0, 1))


@each
def test_no_two_wires_cross_or_touch(board):
    drawn = picture.Picture(board)
    drawn.draw()
    assert len(drawn.paths) >= 12
    for one, other in itertools.combinations(drawn.paths, 2):
        for a, b in itertools.product(itertools.pairwise(one), itertools.pairwise(other)):
            assert not cross(a, b), (one, other)


@each
def test_every_pin_that_the_board_asks_for_is_drawn_once(board):
    words = [text.text for text in ET.fromstring(picture.draw(board)).iter(SVG + "text")]
    for what, pin, _function, _bus in chips.asks(board):
        if pin in modules.fixed(board):
            continue
        name = modules.name(board.MODULE, pin)
        if what.endswith(chips.OPEN):
            assert any(word.endswith("open!") and name in word for word in words), what
        else:
            assert sum(word.split()[0] == name and word.split()[-1] in picture.INK for word in words) == 1, what


@each
def test_the_picture_can_be_read_in_a_readme(board):
    """About 830 px wide there (common practice, no source): no word smaller than 10 px, those of wires 11."""
    root = ET.fromstring(picture.draw(board))
    share = 830 / float(root.get("viewBox").split()[2])
    sizes = [float(text.get("font-size")) * share for text in root.iter(SVG + "text")]
    assert min(sizes) >= 10 and sorted(sizes)[len(sizes) // 2] >= 11


@each
def test_words_stay_on_the_sheet(board):
    root = ET.fromstring(picture.draw(board))
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    for text in root.iter(SVG + "text"):
        long = len(text.text) * float(text.get("font-size")) * 0.66  # DejaVu Sans bold: at most 0.66 em a letter
        x = float(text.get("x"))
        left = {"start": x, "middle": x - long / 2, "end": x - long}[text.get("text-anchor")]
        assert left >= -5 and left + long <= width + 5, text.text
        assert 0 < float(text.get("y")) < height, text.text


@each
def test_colours_are_words_and_never_mislead(board):
    for unit in nets.units(board):
        signals = [pin[2] for pin in unit["pins"] if isinstance(pin[1], int)]
        assert len(signals) == len(set(signals)), "two wires of one colour in a unit"
        for _label, to, colour, _note in unit["pins"]:
            assert colour in picture.INK
            assert (colour == "red") == (to in ("3V3", "5V", "VBUS pin", "5V pin"))
            assert (colour == "black") == (to == "GND")


@each
def test_the_isolated_side_touches_no_rail(board):
    """DMX512 ports are isolated (ANSI E1.11's isolated transmitter and receiver): no rail, no GPIO on the XLR."""
    sockets = [unit for unit in nets.units(board) if unit["name"].startswith("XLR")]
    assert len(sockets) == len(board.LINES)
    for socket in sockets:
        assert all(isinstance(to, tuple) for _, to, _, _ in socket["pins"])


@each
def test_xlr_pins_follow_the_standard(board):
    """ANSI E1.11: pin 1 common, 2 data -, 3 data +; female on a transmitter, male on a receiver."""
    for unit in nets.units(board):
        if unit["name"].startswith("XLR"):
            assert [pin[0] for pin in unit["pins"][:3]] == ["1 common", "2 data -", "3 data +"]
            use = board.LINES[circuit.PORT.index(unit["name"][-1])]["use"]
            assert unit["title"].split()[1] == {"out": "female", "in": "male"}[use]
