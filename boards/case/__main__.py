"""python -m boards.case: write each board's STL files and picture. python -m boards.case check: fail when stale.

Two builds of the same solids may cut their faces into different triangles, so check compares volume, area and
outer measures, not bytes.
"""

import sys

import numpy as np
import trimesh
from PIL import ImageDraw, ImageFont

import boards
from boards.__main__ import DOCS, ROOT
from boards.case import model, places, sizes
from boards.case.render import Scene

TUB, FRONT, DARK, METAL = (214, 176, 110), (104, 132, 168), (60, 60, 66), (150, 150, 155)
BOARD = (70, 120, 80)


def mesh(solid):
    """A manifold3d solid as a trimesh."""
    made = solid.to_mesh()
    return trimesh.Trimesh(made.vert_properties[:, :3], made.tri_verts, process=True)


def parts(board):
    """The printed parts as they lie on the printer: {file name: mesh}."""
    face_down = mesh(model.front(board))
    face_down.apply_transform(trimesh.transformations.rotation_matrix(np.pi, (1, 0, 0)))
    face_down.apply_translation((0, 0, -face_down.bounds[0][2]))
    return {"case-tub.stl": mesh(model.tub(board)), "case-front.stl": face_down}


def same(a, b):
    """True where two meshes are the same solid, to 0.02 mm and 20 millionths of volume and area."""
    close = np.allclose(a.bounds, b.bounds, atol=0.02) and np.allclose(a.center_mass, b.center_mass, atol=0.02)
    return close and np.allclose((a.volume, a.area), (b.volume, b.area), rtol=2e-5)


def stale():
    """STL files that are missing or not as the sizes say: list of paths."""
    found = []
    for name in boards.NAMES:
        for file, made in parts(boards.load(name)).items():
            path = DOCS / name / file
            if not path.exists() or not same(trimesh.load_mesh(path), made):
                found.append(path)
    return found


def picture(board):
    """Both parts as printed, and the case put together with its knob, caps, panel and sockets: an image."""
    scene = Scene(1800, 980, 4.2)

    def draw(solid, ink, at, tilt, spin):
        made = mesh(solid)
        scene.add(made.vertices, made.faces, ink, at, tilt, spin)

    controls = sizes.CONTROLS[places.kind(board)]
    whole, view = (400, 560), (-32, 24)
    draw(model.tub(board), TUB, whole, *view)
    draw(model.front(board), FRONT, whole, *view)
    contents = model.contents(board)
    draw(contents["panel"], DARK, whole, *view)
    draw(model.rod(*controls["knob"], sizes.DEPTH + 1, 20, 14), DARK, whole, *view)
    for at in controls["keys"]:
        draw(model.rod(*at, sizes.DEPTH - 3, sizes.KEY_HOLE - 0.9, 6), DARK, whole, *view)
    for name, solid in contents.items():
        if name.startswith("socket"):
            draw(solid, METAL, whole, *view)
    draw(contents["board"] - contents["board"].translate((0, 0, 1.6)), BOARD, (1010, 430), -38, 20)
    draw(model.tub(board), TUB, (1010, 430), -38, 20)
    draw(model.front(board), FRONT, (1500, 590), 145, 16)
    return labelled(scene.image(), board)


def labelled(image, board):
    """Words on the picture: what is what, and how large."""
    w, h = places.outside(board)
    ink, font = ImageDraw.Draw(image), ImageFont.load_default(30)
    ink.text((30, 24), f"{board.NAME}: case, {w:.0f} x {h:.0f} x {sizes.DEPTH:.0f} mm", (30, 30, 30), font)
    small = ImageFont.load_default(24)
    ink.text((820, 730), "tub: printed on its back, no supports", (30, 30, 30), small)
    ink.text((1180, 925), "front, inside: printed on its face, no supports", (30, 30, 30), small)
    return image


def main(argv):
    """Returns the exit status."""
    if argv == ["check"]:
        old = stale()
        print("".join(f"{path.relative_to(ROOT)} is stale: run python -m boards.case\n" for path in old), end="")
        return 1 if old else 0
    for name in boards.NAMES:
        board = boards.load(name)
        for file, made in parts(board).items():
            made.export(DOCS / name / file)
        picture(board).save(DOCS / name / "case.png", optimize=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
