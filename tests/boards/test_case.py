"""The case: closed solids (judged by trimesh), walls, clearances, printable as they lie."""

import math

import numpy as np
import pytest
import trimesh

import boards
import boards.case.__main__ as command
from boards.case import model, places, sizes

each = pytest.mark.parametrize("name", boards.NAMES)


@pytest.fixture(scope="module")
def built():
    """Meshes and solids of every board, built once: {name: (parts, tub, front)}."""
    found = {}
    for name in boards.NAMES:
        board = boards.load(name)
        found[name] = (command.parts(board), model.tub(board), model.front(board))
    return found


@each
def test_the_committed_files_are_closed_solids(name):
    """Judge: trimesh. Closed, every edge between two faces, faces turned outward, one body."""
    for file in ("case-tub.stl", "case-front.stl"):
        solid = trimesh.load_mesh(command.DOCS / name / file)
        assert solid.is_watertight and solid.is_winding_consistent and solid.is_volume
        assert solid.volume > 0 and solid.body_count == 1
        assert np.unique(solid.edges_sorted, axis=0, return_counts=True)[1].tolist() == [2] * (len(solid.edges) // 2)


@each
def test_the_committed_files_are_the_made_ones(name, built):
    for file, made in built[name][0].items():
        assert command.same(trimesh.load_mesh(command.DOCS / name / file), made)


def test_a_changed_size_is_stale(monkeypatch):
    monkeypatch.setattr(boards, "NAMES", ("pico_oled",))
    monkeypatch.setattr(sizes, "KNOB_HOLE", 7.6)
    assert [path.name for path in command.stale()] == ["case-front.stl"]


@each
def test_no_wall_is_thin(name, built):
    """At points spread over both parts, a ray straight in meets no outer face nearer than sizes.THIN."""
    for solid in built[name][1:]:
        assert thinnest(solid) >= sizes.THIN


def test_the_wall_check_sees_a_thin_wall(monkeypatch):
    monkeypatch.setattr(sizes, "WALL", 0.9)
    assert 0.8 < thinnest(model.tub(boards.load("pico_oled"))) < 1.0


def thinnest(solid):
    """The shortest way in mm from a point on the surface straight in and out again, over 1,500 points."""
    mesh, found = command.mesh(solid), []
    points, faces = trimesh.sample.sample_surface(mesh, 1500, seed=4)
    for point, way in zip(points, -mesh.face_normals[faces], strict=True):
        hits = solid.ray_cast(tuple(point + way * 1e-3), tuple(point + way * 200))
        found.append(min(np.linalg.norm(np.array(hit.position) - point) for hit in hits))
    assert len(found) == 1500
    return min(found)


def overhangs(mesh):
    """Faces that lean out more than 45 degrees above the bed, in connected regions: [(longest side in mm, height)]."""
    hanging = np.flatnonzero((mesh.face_normals[:, 2] < -0.72) & (mesh.triangles_center[:, 2] > 0.05))
    pairs = mesh.face_adjacency
    pairs = pairs[np.isin(pairs, hanging).all(axis=1)]
    regions = trimesh.graph.connected_components(pairs, nodes=hanging)
    boxes = [mesh.triangles[region].reshape(-1, 3) for region in regions]
    return [(float(np.ptp(box[:, :2], axis=0).max()), float(box[:, 2].min())) for box in boxes]


@each
def test_printed_without_supports(name, built):
    """45 degrees and a short bridge: common practice, no source."""
    for file, mesh in built[name][0].items():
        assert abs(mesh.bounds[0][2]) < 1e-6
        long = [found for found in overhangs(mesh) if found[0] > sizes.BRIDGE]
        assert long == [], file


def test_the_overhang_check_sees_a_shelf():
    """Turned over, the tub is a roof without support: the check must say so."""
    tub = command.mesh(model.tub(boards.load("pico_oled")))
    tub.apply_transform(trimesh.transformations.rotation_matrix(np.pi, (1, 0, 0)))
    tub.apply_translation((0, 0, -tub.bounds[0][2]))
    assert max(long for long, _ in overhangs(tub)) > 60


@each
def test_parts_fit(name, built):
    """No bought part touches the case where it should not, and no two touch each other: 1 mm or more."""
    _, tub, front = built[name]
    contents = model.contents(boards.load(name))
    for what, solid in contents.items():
        for printed in (tub, front):
            assert (solid ^ printed).volume() < 1e-6, what
        for other, there in contents.items():
            assert other == what or solid.min_gap(there, 5) >= 1.0, (what, other)
    for what in ("panel", "knob", "keys"):
        assert contents[what].min_gap(tub, 5) >= sizes.ROOM, what
    assert contents["board"].min_gap(front, 5) >= sizes.ROOM


@each
def test_tub_and_front_close_without_force(name, built):
    _, tub, front = built[name]
    assert (tub ^ front).volume() < 1e-6
    lifted = front.translate((0, 0, 0.01))  # off the rim on which it rests
    for shift in ((sizes.FIT - 0.02, 0, 0.01), (0, sizes.FIT - 0.02, 0.01)):
        assert (tub ^ front.translate(shift)).volume() < 1e-6, "the lip has its play on each side"
    assert lifted.min_gap(tub, 2) > 0


@each
def test_openings_let_their_parts_through(name, built):
    """A gauge of the part's size passes; one that is larger by 2 mm does not."""
    board = boards.load(name)
    _, tub, front = built[name]
    w, h = places.outside(board)
    controls, panel = sizes.CONTROLS[places.kind(board)], sizes.PANEL[places.kind(board)]
    centre = (panel["off"][0], panel["y"] + panel["off"][1])
    for more, passes in ((0.0, True), (2.0, False)):
        gauges = [model.box(*centre, 0, panel["seen"][0] + more, panel["seen"][1] + more, 99) ^ plate(w, h),
                  model.rod(*controls["knob"], 0, 7.0 + more, 99) ^ plate(w, h)]
        gauges += [model.rod(*at, 0, 11.5 + more, 99) ^ plate(w, h) for at in controls["keys"]]
        assert all(((gauge ^ front).volume() < 1e-6) == passes for gauge in gauges)
        for x in places.xlrs(board):
            gauge = model.through_wall(model.CrossSection.circle((23.5 + more) / 2, 64), x, h / 2, sizes.XLR_Z)
            assert ((gauge ^ tub).volume() < 1e-6) == passes


def plate(w, h):
    """The layer that is the front's plate."""
    return model.box(0, 0, sizes.DEPTH - sizes.FRONT, w, h, sizes.FRONT)


@each
def test_stand_nuts_sit_and_hold(name, built):
    """A nut of ASME B18.2.2's size slides in from above, can't turn, can't fall through, and the screw reaches it."""
    _, tub, _ = built[name]
    _, h = places.outside(boards.load(name))
    for _thread, hole, flats, thick, x in sizes.NUTS:
        z = sizes.DEPTH / 2 - 3
        corner = flats / math.sqrt(3)
        for turn, passes in ((0, True), (30, False)):
            points = [(corner * math.sin(a), corner * math.cos(a)) for a in
                      (math.radians(turn - 60 * n) for n in range(6))]
            nut = model.CrossSection([points]).extrude(thick).rotate((90, 0, 0))
            nut = nut.translate((x, -h / 2 + sizes.NUT_WALL + sizes.ROOM + thick, z))
            for up in range(0, 12, 3):
                assert ((nut.translate((0, 0, up)) ^ tub).volume() < 1e-6) == passes
        screw = model.through_wall(model.CrossSection.circle(hole / 2 - 0.2, 48), x, -h / 2 - 10, z)
        assert (screw ^ tub).volume() < 1e-6
        head = model.through_wall(model.CrossSection.circle(flats / 2, 48), x, -h / 2 - 10, z)
        assert (head ^ tub).volume() > 50, "the nut rests on a wall"


MEANT = (("board screw", "board"), ("post screw", "panel"), ("post screw", "keys"), ("USB plug", "board"))


def touching(things, printed):
    """Pairs that overlap and are not meant to: [(name, name)]. things, printed: {name: solid}."""
    found, names = [], list(things)
    for at, one in enumerate(names):
        for other in [*names[at + 1:], *printed]:
            meant = any(one.startswith(a) and other.startswith(b) or other.startswith(a) and one.startswith(b)
                        for a, b in MEANT)
            if not meant and (things[one] ^ {**things, **printed}[other]).volume() > 1e-6:
                found.append((one, other))
    return found


@each
def test_every_screw_plug_and_jack_fits_beside_everything_else(name, built):
    """Sizes: ISO 10642 M3 (head 5.5 to 6.7 mm), pan head M2.5 (5 mm), USB overmould 12 x 7 mm at each socket, 28 mm
    foot jack, miniature toggle: from memory of their data sheets."""
    _, tub, front = built[name]
    board = boards.load(name)
    things = {**model.contents(board), **model.hardware(board)}
    kinds = {what.rstrip("0123456789- ") for what in things}
    assert {"case screw", "board screw", "post screw", "USB plug", "jack", "panel", "knob", "keys", "board"} <= kinds
    assert touching(things, {"tub": tub, "front": front.translate((0, 0, 0.01))}) == []


def test_the_fit_test_sees_what_does_not_fit(built, monkeypatch):
    """A jack 45 mm deep meets the board; an overmould 6 mm farther out the wall; a screw of 45 mm the front."""
    _, tub, front = built["s3_tft"]
    board, printed = boards.load("s3_tft"), {"tub": tub, "front": front.translate((0, 0, 0.01))}
    monkeypatch.setattr(sizes, "JACK_BODY", (17.0, 17.0, 45.0))
    monkeypatch.setattr(sizes, "SCREW", 45.0)
    monkeypatch.setattr(sizes, "USB_SIDE", 14.0)
    found = touching({**model.contents(board), **model.hardware(board)}, printed)
    assert ("board", "jack") in found and ("case screw 0", "front") in found and ("USB plug -1", "tub") in found


@each
def test_the_case_screws_hold(name, built):
    """From the head's seat in the tub the screw ends 4 mm or more inside the insert (common practice: 1.3 diameters),
    and one of 10 mm does not reach the front at all."""
    _, tub, front = built[name]
    bottom = sizes.DEPTH - sizes.FRONT - sizes.INSERT_DEEP - 2 + sizes.FIT
    assert sizes.SCREW - bottom >= 4.0 and bottom > 10
    for x, y in places.columns(boards.load(name)):
        wide = model.rod(x, y, bottom + 0.5, sizes.INSERT_HOLE + 1, 6)
        assert (wide ^ front).volume() > 20, "the insert sits in the front's post"
        assert (model.rod(x, y, 2, sizes.SCREW_HEAD, 1) ^ tub).volume() > 3, "the head rests on the tub"


@each
def test_ties_have_their_tunnels(name, built):
    """A tie of 2.5 x 1.2 mm passes each anchor and both slots beside the USB opening."""
    _, tub, _ = built[name]
    board = boards.load(name)
    for x, y in places.ties(board):
        assert (model.box(x, y, sizes.FLOOR + 2.6, 10, 2.5, 1.2) ^ tub).volume() < 1e-6
        assert (model.box(x, y, sizes.FLOOR, 6, 7, 6) ^ tub).volume() > 50
    for slot in model.usb_ties(board):
        low = slot.bounding_box()
        middle = ((low[1] + low[4]) / 2, (low[2] + low[5]) / 2)
        tie = model.box(low[0] + 10, middle[0], middle[1] - 0.6, 16, 2.5, 1.2)
        assert (tie ^ tub).volume() < 1e-6


@each
def test_the_weight_on_the_page_is_that_of_the_files(name):
    """1.27 g/cm3 is PETG's (from memory), within 5 %."""
    volume = sum(trimesh.load_mesh(command.DOCS / name / file).volume for file in ("case-tub.stl", "case-front.stl"))
    grams = places.grams(boards.load(name))
    assert abs(volume / 1000 * 1.27 - grams) < 0.05 * grams
    assert f"about {grams} g" in (command.DOCS / name / "parts.md").read_text()
