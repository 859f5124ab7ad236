"""The solids: `tub` (back and sides) and `front`, and the room that the bought parts take (`contents`).

Printed as they lie: the tub on its back, the front on its face, neither with supports: openings in upright walls
have 45 degree roofs or short bridges, screw heads sit in cones.
"""

import math

from manifold3d import CrossSection, Manifold

from boards.case import sizes as s

FINE = 32  # segments of a circle


def kind(board):
    """Which set of sizes: "tft" or "oled"."""
    return "tft" if board.PANEL["bus"] == "spi" else "oled"


def box(x, y, z, w, h, d):
    """A box by its centre in x and y, its lower end in z."""
    return Manifold.cube((w, h, d)).translate((x - w / 2, y - h / 2, z))


def rod(x, y, z, diameter, length):
    """A rod along z from z up."""
    return Manifold.cylinder(length, diameter / 2, circular_segments=FINE).translate((x, y, z))


def slab(w, h, d, edge):
    """A box around the z axis with rounded upright edges."""
    flat = CrossSection.square((w - 2 * edge, h - 2 * edge), center=True)
    return flat.offset(edge, circular_segments=FINE).extrude(d)


def drop(diameter):
    """A round hole with a 45 degree roof toward +y, cut off where the bridge is 5 mm wide: prints upright."""
    r = diameter / 2
    top = min(r * math.sqrt(2) - 2.5, r + 1.6)
    half = r * math.sqrt(2) - top
    roof = [(-r / math.sqrt(2), r / math.sqrt(2)), (r / math.sqrt(2), r / math.sqrt(2)), (half, top), (-half, top)]
    circle = CrossSection.circle(r, FINE)
    return circle + CrossSection([roof]) if half > 0 else circle


def through_wall(flat, x, y, z):
    """A flat shape (its x along x, its y along z) pushed 30 mm along y through a wall at y, its middle at z."""
    return flat.extrude(30).rotate((90, 0, 0)).translate((x, y + 15, z))


def corners(board, inset):
    """The four places at a distance from the case's outside."""
    w, h = s.CASE[kind(board)]
    return [(sx * (w / 2 - inset), sy * (h / 2 - inset)) for sx in (-1, 1) for sy in (-1, 1)]


def column_inset():
    return s.WALL + s.COLUMN / 2 - 0.8  # the columns grow into the walls


def board_centre(board):
    """Where the perforated board lies: its left edge at the USB opening."""
    w, h = s.CASE[kind(board)]
    return (-w / 2 + s.WALL + 1 + s.BOARD[0] / 2, -h / 2 + s.WALL + s.FOOT_ZONE + s.BOARD_ZONE / 2)


def xlr_places(board):
    """x of each socket in the top wall, port A first from the left as seen from the front."""
    return s.XLR_X[len(board.LINES)]


def tub(board):
    """The back with its walls, columns, standoffs and nut pockets."""
    w, h = s.CASE[kind(board)]
    high = s.DEPTH - s.FRONT
    hollow = slab(w - 2 * s.WALL, h - 2 * s.WALL, high, s.ROUND - s.WALL)
    body = slab(w, h, high, s.ROUND) - hollow.translate((0, 0, s.FLOOR))
    for x, y in corners(board, column_inset()):
        body += rod(x, y, 0, s.COLUMN, high - s.INSERT_DEEP - 2)
    body = body ^ slab(w, h, high, s.ROUND)
    body += bosses(board)
    x, y = board_centre(board)
    for sx, sy in ((-1, -1), (-1, 1), (1, -1), (1, 1)):
        at = (x + sx * s.BOARD_HOLES[0] / 2, y + sy * s.BOARD_HOLES[1] / 2)
        body += rod(*at, s.FLOOR - 0.2, 6, s.BOARD_FOOT + 0.2) - rod(*at, s.FLOOR + 1, s.SELF_TAP, 20)
    for cut in cuts(board):
        body -= cut
    return body


def bosses(board):
    """Two blocks at the bottom wall, a nut slid into each from the front side."""
    _, h = s.CASE[kind(board)]
    found = Manifold()
    for _name, _hole, flats, thick, x in s.NUTS:
        deep = s.NUT_WALL + thick + 2 * s.ROOM + 3
        found += box(x, -h / 2 + deep / 2, 0, flats + 2 * s.ROOM + 6, deep, s.DEPTH - s.FRONT - 3)
    return found


def nut_pockets(board):
    """The slots for the nuts, a flat at each side and a corner down, and the screw holes."""
    _, h = s.CASE[kind(board)]
    found = Manifold()
    for _name, hole, flats, thick, x in s.NUTS:
        wide, z = flats + 2 * s.ROOM, s.DEPTH / 2 - 3
        corner = wide / math.sqrt(3)
        hexagon = CrossSection([[(corner * math.sin(a), corner * math.cos(a)) for a in
                                 (math.radians(-60 * n) for n in range(6))]])
        slot = hexagon + CrossSection([[(-wide / 2, 0), (wide / 2, 0), (wide / 2, 40), (-wide / 2, 40)]])
        long = thick + 2 * s.ROOM
        found += slot.extrude(long).rotate((90, 0, 0)).translate((x, -h / 2 + s.NUT_WALL + long, z))
        found += through_wall(drop(hole), x, -h / 2 - 8, z)  # leaves the block's far wall whole
    return found


def cuts(board):
    """What is taken out of the tub."""
    w, h = s.CASE[kind(board)]
    found = [nut_pockets(board)]
    for x, y in corners(board, column_inset()):
        cone = (s.SCREW_HEAD - s.SCREW_HOLE) / 2
        found.append(rod(x, y, -1, s.SCREW_HOLE, s.DEPTH))
        found.append(Manifold.cylinder(cone, s.SCREW_HEAD / 2, s.SCREW_HOLE / 2, FINE).translate((x, y, 0)))
    for x in xlr_places(board):
        found.append(through_wall(drop(s.XLR_HOLE), x, h / 2, s.XLR_Z))
        for sx, sz in ((-1, 1), (1, -1)):
            at = (x + sx * s.XLR_SCREWS[0] / 2, s.XLR_Z + sz * s.XLR_SCREWS[1] / 2)
            found.append(through_wall(drop(s.SCREW_HOLE), at[0], h / 2, at[1]))
    found.append(usb_opening(board))
    mark = Manifold.cylinder(1.2, 0.1, 1.3, FINE).rotate((0, 90, 0))
    found.append(mark.translate((w / 2 - 1.2, board_centre(board)[1], s.XLR_Z)))
    return found


def usb_opening(board):
    """A window in the left wall with a 45 degree roof."""
    w, _ = s.CASE[kind(board)]
    (wide, tall), (along, up) = s.USB[board.MODULE]
    y = board_centre(board)[1] - s.BOARD[1] / 2 + along
    z = s.FLOOR + s.BOARD_FOOT + up
    x, top = wide / 2, tall / 2
    roof = max(3.0, x - s.BRIDGE / 2 + 0.2)
    flat = CrossSection([[(-x, -top), (x, -top), (x, top - roof), (x - roof, top), (roof - x, top), (-x, top - roof)]])
    return flat.extrude(20).rotate((90, 0, 90)).translate((-w / 2 - 10, y, z))


def front(board):
    """The front with its window, holes, posts and the ring that sits in the tub."""
    w, h = s.CASE[kind(board)]
    inner = s.DEPTH - s.FRONT
    plate = slab(w, h, s.FRONT, s.ROUND).translate((0, 0, inner))
    plate += ring(w, h).translate((0, 0, inner - 2.5))
    for x, y in corners(board, column_inset()):
        plate += rod(x, y, inner - s.INSERT_DEEP - 2 + s.FIT, s.COLUMN - 2 * s.FIT, s.INSERT_DEEP + 2 - s.FIT)
    inside = slab(w - 2 * s.WALL - 2 * s.FIT, h - 2 * s.WALL - 2 * s.FIT, s.DEPTH, s.ROUND - s.WALL)
    plate = (plate ^ inside) + slab(w, h, s.FRONT, s.ROUND).translate((0, 0, inner)) + posts(board)
    for x, y in corners(board, column_inset()):
        plate -= rod(x, y, 0, s.INSERT_HOLE, inner + 0.8)
    return plate - openings(board)


def ring(w, h):
    """The lip inside the tub's walls."""
    outer = [v - 2 * s.WALL - 2 * s.FIT for v in (w, h)]
    return slab(*outer, 2.6, s.ROUND - s.WALL) - slab(outer[0] - 4, outer[1] - 4, 2.6, 1)


def post_places(board):
    """Screw posts on the front's inside: [(x, y, length)]: around the panel, and for the strip with the keys."""
    panel = s.PANEL[kind(board)]
    far = panel["board"][1] / 2 + s.ROOM + 3.2
    found = [(sx * panel["board"][0] * 0.3, panel["y"] + sy * far, panel["thick"] - 2.5)
             for sx in (-1, 1) for sy in (-1, 1)]
    keys = s.CONTROLS[kind(board)]["keys"]
    middle = [((a[0] + b[0]) / 2, a[1]) for a, b in zip(keys, keys[1:], strict=False)]
    return found + [(x, y, s.KEY_STRIP[2] - s.FRONT) for x, y in middle]


def posts(board):
    inner, found = s.DEPTH - s.FRONT, Manifold()
    for x, y, long in post_places(board):
        found += rod(x, y, inner - long, 5.6, long + 0.2) - rod(x, y, inner - long - 1, s.SELF_TAP, long + 1)
    return found


def openings(board):
    """The window with its 45 degree bevel, the knob's and the keys' holes."""
    panel, controls = s.PANEL[kind(board)], s.CONTROLS[kind(board)]
    x, y = panel["off"][0], panel["y"] + panel["off"][1]
    wide, tall = (v + 1 for v in panel["seen"])
    land = 1.4  # upright part of the window's edge, next to the glass
    bevel = s.FRONT - land
    found = box(x, y, s.DEPTH - 10, wide, tall, 20)
    sharp = CrossSection.square((wide, tall), center=True)
    found += sharp.extrude(bevel, scale_top=((wide + 2 * bevel) / wide, (tall + 2 * bevel) / tall)).translate(
        (x, y, s.DEPTH - bevel))
    found += rod(*controls["knob"], 0, s.KNOB_HOLE, s.DEPTH + 1)
    for at in controls["keys"]:
        found += rod(*at, 0, s.KEY_HOLE, s.DEPTH + 1)
    return found


def contents(board):
    """The room that bought parts take: {name: solid}."""
    w, h = s.CASE[kind(board)]
    panel, controls = s.PANEL[kind(board)], s.CONTROLS[kind(board)]
    inner = s.DEPTH - s.FRONT
    x, y = board_centre(board)
    keys = controls["keys"]
    strip = s.DEPTH - s.KEY_STRIP[2]
    found = {
        "panel": box(0, panel["y"], inner - panel["thick"], *panel["board"], panel["thick"] - 0.01),
        "board": box(x, y, s.FLOOR + s.BOARD_FOOT + 0.01, *s.BOARD, s.BOARD_STACK),
        "knob": box(*controls["knob"], inner - s.KNOB_BODY[2], *s.KNOB_BODY[:2], s.KNOB_BODY[2] - 0.01),
        "keys": box((keys[0][0] + keys[-1][0]) / 2, keys[0][1], strip - s.KEY_STRIP[1] - 0.01,
                    keys[-1][0] - keys[0][0] + 12, s.KEY_STRIP[0], s.KEY_STRIP[1]),
    }
    for number, at in enumerate(xlr_places(board)):
        body = Manifold.cylinder(s.XLR_DEEP + s.WALL, s.XLR_HOLE / 2 - s.ROOM, circular_segments=FINE)
        found[f"socket {number}"] = body.rotate((90, 0, 0)).translate((at, h / 2, s.XLR_Z))
    return found
