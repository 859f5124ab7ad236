"""The carrier board as committed: of this circuit, unchanged, without errors, and its copper where it belongs."""

import json
import re
import zipfile

import pytest

import boards
import boards.carrier.__main__ as command
from boards import circuit, pages
from boards.carrier import layout, route

each = pytest.mark.parametrize("name", command.CARRIERS)


@each
def test_the_committed_board_is_of_this_circuit(name):
    """Judge of the rules and of the netlist: KiCad 6.0.11, when the board was made."""
    assert command.problems(name) == [] and command.main(["check"]) == 0
    assert json.loads((command.DOCS / name / "made.json").read_text())["errors"] == 0
    assert command.carried(name) == [board for board, folder in pages.CARRIED.items() if folder == name]


def test_a_changed_circuit_file_or_netlist_is_named(monkeypatch, tmp_path):
    monkeypatch.setitem(layout._REST, "F1", (55.0, 29.5, 0))
    assert "of another circuit or layout" in command.problems("carrier_pico")[0]
    monkeypatch.undo()
    monkeypatch.setattr(command, "digest", lambda _path: "0")
    assert any("gerber.zip is missing or was changed" in sentence for sentence in command.problems("carrier_pico"))
    monkeypatch.undo()
    nets = circuit.nets

    def swapped(board):
        found = nets(board)
        found["GP0"], found["GP1"] = found["GP1"], found["GP0"]
        return found
    monkeypatch.setattr(circuit, "nets", swapped)
    monkeypatch.setattr(command, "carried", lambda _name: ["pico_tft"])
    found = command.problems("carrier_pico")
    assert any("netlist of carrier_pico is not that of pico_tft" in sentence for sentence in found)


def copper(name, layer):
    """Points in mm that a layer's Gerber draws to or flashes, by the format of the Gerber layer specification: X, Y in
    millionths of a mm (%FSLAX46Y46*%)."""
    with zipfile.ZipFile(command.DOCS / name / "gerber.zip") as archive:
        text = archive.read(f"carrier-{layer}.gbr").decode()
    assert "%FSLAX46Y46*%" in text and "%MOMM*%" in text
    return [(int(x) / 1e6, -int(y) / 1e6) for x, y in re.findall(r"X(-?\d+)Y(-?\d+)D0[123]\*", text)]


@each
@pytest.mark.parametrize("layer", ["F_Cu", "B_Cu"])
def test_the_gap_is_bare_in_the_gerbers(name, layer):
    """No middle of a track, pad or outline lies between the isolated sides and the rest."""
    points = copper(name, layer)
    assert len(points) > 500
    for x0, y0, x1, y1 in layout.gaps(len(boards.load(command.CARRIERS[name]).LINES)):
        inside = [(x, y) for x, y in points if x0 + 0.1 < x < x1 - 0.1 and y0 + 0.05 < y < y1 - 0.05]
        assert inside == []


@each
def test_every_hole_is_drilled(name):
    """By Excellon's header and body: as many plated holes as pads with holes and vias, four unplated for the screws."""
    with zipfile.ZipFile(command.DOCS / name / "gerber.zip") as archive:
        plain, plated = (archive.read(f"carrier-{kind}.drl").decode() for kind in ("NPTH", "PTH"))
    holes = [(float(x), -float(y)) for x, y in re.findall(r"X(-?[\d.]+)Y(-?[\d.]+)", plain)]
    assert sorted(holes) == sorted(layout.HOLES)
    assert len(re.findall(r"X-?[\d.]+Y", plated)) > 40 + 2 * 20


def test_the_router_keeps_its_distance():
    """Two nets that cross on a small board: each is joined, one goes below, no two middles are nearer than track and
    clearance; a gap that parts the board leaves a net unjoined."""
    def pad(net, x, y):
        return {"net": net, "x": x, "y": y, "layers": [0, 1], "shape": [0.8, 0.8, True]}
    pads = [pad("a", 2, 10), pad("a", 18, 10), pad("b", 10, 2), pad("b", 10, 18)]
    router = route.Router((20, 20), pads, [], [])
    assert router.route() == []
    lines, _vias = router.tracks()
    assert {net for net, *_ in lines} == {"a", "b"}
    assert router.near[0].size and not set(router.near[0]) & {router._flat(cell) for path in router.paths[1]
                                                              for cell in path}
    parted = route.Router((20, 20), pads, [(0, 8.0, 20, 9.0)], [])
    assert parted.route() == ["b"]


def test_a_via_that_is_too_near_to_anothers_is_a_crossing():
    """Middles of two vias are VIA + CLEAR apart or more: one laid 0.9 mm from another is told, one 1.25 mm away not."""
    def pad(net, x, y):
        return {"net": net, "x": x, "y": y, "layers": [0, 1], "shape": [0.4, 0.4, True]}
    for dx, dy, told in ((2, 3, {1}), (3, 4, set())):
        router = route.Router((20, 20), [pad("a", 2, 2), pad("a", 18, 2), pad("b", 2, 18), pad("b", 18, 18)], [], [])
        at = round(10 / route.GRID)
        router.paths = {1: [[(0, at + dx, at + dy), (1, at + dx, at + dy)]], 0: [[(0, at, at), (1, at, at)]]}
        router.near = {net: router._near(net) for net in (0, 1)}
        assert router.crossed(0) == told, (dx, dy)
