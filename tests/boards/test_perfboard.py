"""The perforated boards: connected as the nets say, with the gap's distances, nothing on something else."""

import itertools
import re
import xml.etree.ElementTree as ET

import pytest

import boards
from boards import circuit, modules, nets, perfboard, perfpicture
from boards.__main__ import DOCS
from boards.carrier import layout
from boards.case import sizes

BOARDS = [boards.load(name) for name in boards.NAMES]
each = pytest.mark.parametrize("board", BOARDS, ids=[board.NAME for board in BOARDS])
# The pins beside the USB sockets, which point to the left: pinout sheets, as in modules.py.
USB = {"pico": ("1", "40"), "s3_devkit": ("22", "44")}
SVG = "{http://www.w3.org/2000/svg}"
PAD, HEAD = 2.0, 5.0  # mm: a pad's diameter (common practice); an M2.5 pan head's (ISO 7045, from memory)


def drawn(board):
    """What the committed picture's lower half joins: list of sets of "U11 6", by its pins' titles and its wires."""
    root = ET.fromstring((DOCS / board.NAME / "perfboard.svg").read_text())
    pins, groups = {}, {}
    middle = max(float(text.get("y")) for text in root.iter(SVG + "text") if "BELOW" in text.text)
    for shape in root:
        title = shape.find(SVG + "title")
        if title is not None:
            x, y = ((float(shape.get("cx")), float(shape.get("cy"))) if shape.tag == SVG + "circle" else
                    (float(shape.get("x")) + 9, float(shape.get("y")) + 9))
            if y > middle:
                assert (x, y) not in pins, title.text
                pins[x, y] = " ".join(title.text.split()[:2])
                groups[x, y] = {pins[x, y]}
    for wire in root.iter(SVG + "line"):
        if wire.get("class") == "wire":
            one, other = ((float(wire.get(f"x{n}")), float(wire.get(f"y{n}"))) for n in (1, 2))
            joined = groups[one] | groups[other]
            for place, name in pins.items():
                if name in joined:
                    groups[place] = joined
    return [set(group) for group in {frozenset(group) for group in groups.values()} if len(group) > 1]


@each
def test_the_picture_joins_what_the_nets_join(board):
    found = drawn(board)
    wanted = [{" ".join(pin) for pin in pins} for pins in circuit.nets(board).values() if len(pins) > 1]
    assert sorted(map(sorted, found)) == sorted(map(sorted, wanted))
    refs = {}
    for component in circuit.components(board):
        refs.setdefault(component.unit, set()).add(component.ref)
    numbers, wires = dict(modules.pins(board.MODULE)), 0
    for unit in nets.units(board):  # and every wire to a GPIO by the wiring page
        for _label, to, _colour, _note in unit["pins"]:
            if isinstance(to, int):
                group = next(group for group in found if f"A1 {numbers[to]}" in group)
                assert {pin.split()[0] for pin in group} & refs[unit["name"]], (unit["name"], to)
                wires += 1
    assert wires >= 13


@each
def test_every_pin_has_a_hole_of_its_own_clear_of_edges_and_screws(board):
    places = perfboard.holes(board)
    assert len(set(places.values())) == len(places)
    wide, high = sizes.BOARD[board.MODULE]
    for pin, hole in places.items():
        x, y = perfboard.millimetres(board, hole)
        assert PAD / 2 < x < wide - PAD / 2 and PAD / 2 < y < high - PAD / 2, pin
        for at in itertools.product((3.0, wide - 3.0), (3.0, high - 3.0)):
            assert ((x - at[0]) ** 2 + (y - at[1]) ** 2) ** 0.5 >= (PAD + HEAD) / 2 - 0.05, pin
    # The sockets lie where the case has the controller, and as far apart as the makers' drawings say (from memory).
    upper, lower = (perfboard.millimetres(board, (0, row))[1] for row in perfboard.SOCKETS[board.MODULE])
    assert (upper + lower) / 2 == pytest.approx(high - sizes.CONTROLLER_Y[board.MODULE])
    assert lower - upper == pytest.approx({"pico": 17.78, "s3_devkit": 22.86}[board.MODULE])
    usb = {hole[0] for (ref, number), hole in places.items() if ref == "A1" and number in USB[board.MODULE]}
    assert usb == {{"pico": 0, "s3_devkit": 1}[board.MODULE]}


def near(board):
    """[(wire or pin, pin of another side, holes between them)] that come nearer than they may."""
    places, sides, found = perfboard.holes(board), perfboard.domains(board), []
    lines = [(net, one, other) for net, one, other in perfboard.wires(board)]
    lines += [(f"{ref} {number}", hole, hole) for (ref, number), hole in places.items()]
    owners = {hole: ref for (ref, _number), hole in places.items()}
    for what, one, other in lines:
        assert sides[one] == sides[other], what
        for hole, side in sides.items():
            ends = {owners[one], owners[other]}
            if side == sides[one] or owners[hole] in ends and owners[hole][0] in "UPC":
                continue  # on its own side, or two pins of one part, whose maker answers for them
            closer = any(ref[:2] == "PS" for ref in ends | {owners[hole]})
            if perfboard.distance(hole, one, other) < (perfboard.NEAR if closer else perfboard.APART):
                found.append((what, owners[hole], hole))
    return found


@each
def test_wires_and_pins_keep_their_distance_across_the_gap(board, monkeypatch):
    """From copper to copper more than the carrier's gap of 3 mm, with pads of 2 mm."""
    assert near(board) == []
    assert min(perfboard.NEAR, perfboard.APART) * perfboard.PITCH - PAD > layout.GAP
    for net, pins in circuit.nets(board).items():
        for pin in pins:
            assert perfboard.domains(board)[perfboard.holes(board)[pin]] == circuit.domain(net), (net, pin)
    monkeypatch.setitem(perfboard._PORT, "C{}2", (0, 7))  # the 5 V capacitor of a port, too near
    assert near(board)


@each
def test_no_part_stands_on_another(board):
    """But for lying diodes, 2 mm high: they may lie below the module, which its sockets hold 8.5 mm up (both from
    memory)."""
    places, boxes = perfboard.holes(board), []
    for component in circuit.components(board):
        mine = [hole for (ref, _number), hole in places.items() if ref == component.ref]
        boxes.append((component.ref, *perfpicture.body(component, mine)))
    for (one, low, top), (other, low2, top2) in itertools.combinations(boxes, 2):
        if (one, other[0]) == ("A1", "D"):
            continue
        over = [min(top[k], top2[k]) - max(low[k], low2[k]) for k in (0, 1)]
        assert min(over) <= 0.01, (one, other, over)


@each
def test_the_page_lists_each_wire_and_the_words_can_be_read(board):
    """10 px at a README's width of about 830 (common practice, no source)."""
    page = (DOCS / board.NAME / "perfboard.md").read_text()
    rows = re.findall(r"^\| ([^|]+) \| ([A-Z]+\d+) \((\S+)\) \| ([A-Z]+\d+) \((\S+)\) \|$", page, re.M)
    assert len(rows) == len(perfboard.wires(board))
    root = ET.fromstring((DOCS / board.NAME / "perfboard.svg").read_text())
    share = 830 / float(root.get("viewBox").split()[2])
    assert min(float(text.get("font-size")) for text in root.iter(SVG + "text")) * share >= 10
