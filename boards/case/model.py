"""The solids: `tub` (back and sides) and `front`, and the room that the bought parts take (`contents`).

Printed as they lie: the tub on its back, the front on its face, neither with supports: openings in upright walls
have 45 degree roofs or short bridges, screw heads sit in cones.
"""

import math

from manifold3d import CrossSection, Manifold

from boards.case import places
from boards.case import sizes as s

FINE = 32  # segments of a circle


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


def tub(board):
    """The back with its walls, columns, standoffs and nut pockets."""
    w, h = places.outside(board)
    high = s.DEPTH - s.FRONT
    hollow = slab(w - 2 * s.WALL, h - 2 * s.WALL, high, s.ROUND - s.WALL)
    body = slab(w, h, high, s.ROUND) - hollow.translate((0, 0, s.FLOOR))
    for x, y in places.columns(board):
        body += rod(x, y, 0, s.COLUMN, high - s.INSERT_DEEP - 2)
    body = body ^ slab(w, h, high, s.ROUND)
    body += bosses(board)
    body += anchors(board)
    for at in places.board_holes(board):
        body += rod(*at, s.FLOOR - 0.2, 6, s.BOARD_FOOT + 0.2) - rod(*at, s.FLOOR + 1, s.SELF_TAP, 20)
    for cut in cuts(board):
        body -= cut
    return body


def bosses(board):
    """Two blocks at the bottom wall, a nut slid into each from the front side."""
    _, h = places.outside(board)
    found = Manifold()
    for _name, _hole, flats, thick, x in s.NUTS:
        deep = s.NUT_WALL + thick + 2 * s.ROOM + 3
        found += box(x, -h / 2 + deep / 2, 0, flats + 2 * s.ROOM + 6, deep, s.DEPTH - s.FRONT - 3)
    return found


def nut_pockets(board):
    """The slots for the nuts, a flat at each side and a corner down, and the screw holes."""
    _, h = places.outside(board)
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
    w, h = places.outside(board)
    found = [nut_pockets(board)]
    for x, y in places.columns(board):
        cone = (s.SCREW_HEAD - s.SCREW_HOLE) / 2
        found.append(rod(x, y, -1, s.SCREW_HOLE, s.DEPTH))
        found.append(Manifold.cylinder(cone, s.SCREW_HEAD / 2, s.SCREW_HOLE / 2, FINE).translate((x, y, 0)))
    for x in places.xlrs(board):
        found.append(through_wall(drop(s.XLR_HOLE), x, h / 2, s.XLR_Z))
        for sx, sz in ((-1, 1), (1, -1)):
            at = (x + sx * s.XLR_SCREWS[0] / 2, s.XLR_Z + sz * s.XLR_SCREWS[1] / 2)
            found.append(through_wall(drop(s.SCREW_HOLE), at[0], h / 2, at[1]))
    found.append(usb_opening(board))
    found += usb_ties(board)
    if places.jack(board) is not None:
        mark = Manifold.cylinder(1.2, 1.3, 0.1, FINE).rotate((-90, 0, 0))
        found.append(mark.translate((places.jack(board), h / 2 - s.WALL - 0.05, s.XLR_Z)))
    if places.toggle(board) is not None:
        hole = drop(s.TOGGLE_HOLE).extrude(20).rotate((90, 0, 90))
        found.append(hole.translate((w / 2 - 10, places.toggle(board), s.XLR_Z)))
    return found


def anchors(board):
    """Blocks on the floor, each with a tunnel for a cable tie along x."""
    long, wide, tall = s.TIE[0]
    across, high = s.TIE[1]
    found = Manifold()
    for x, y in places.ties(board):
        found += box(x, y, s.FLOOR - 0.2, long, wide, tall) - box(x, y, s.FLOOR + 2.4, long + 2, across, high)
    return found


def usb_ties(board):
    """Two slots in the left wall below the USB opening, for a tie round the cable."""
    w, _ = places.outside(board)
    along, tall, apart = s.USB_TIE
    y, z = places.usb(board)
    low = z - s.USB[board.MODULE][0][1] / 2 - 3.2 - tall
    return [box(-w / 2, y + side * apart / 2, low, 20, along, tall) for side in (-1, 1)]


def usb_opening(board):
    """A window in the left wall, straight where the plug is, with a 45 degree roof above that ends in a short
    bridge."""
    w, _ = places.outside(board)
    (wide, tall), _up = s.USB[board.MODULE]
    y, z = places.usb(board)
    x, top = wide / 2, tall / 2
    bridge = s.BRIDGE / 2 - 0.2
    flat = CrossSection([[(-x, -top), (x, -top), (x, top), (bridge, top + x - bridge), (-bridge, top + x - bridge),
                          (-x, top)]])
    return flat.extrude(20).rotate((90, 0, 90)).translate((-w / 2 - 10, y, z))


def front(board):
    """The front with its window, holes, posts and the ring that sits in the tub."""
    w, h = places.outside(board)
    inner = s.DEPTH - s.FRONT
    plate = slab(w, h, s.FRONT, s.ROUND).translate((0, 0, inner))
    plate += ring(w, h).translate((0, 0, inner - 2.5))
    for x, y in places.columns(board):
        plate += rod(x, y, inner - s.INSERT_DEEP - 2 + s.FIT, s.COLUMN - 2 * s.FIT, s.INSERT_DEEP + 2 - s.FIT)
    inside = slab(w - 2 * s.WALL - 2 * s.FIT, h - 2 * s.WALL - 2 * s.FIT, s.DEPTH, s.ROUND - s.WALL)
    plate = (plate ^ inside) + slab(w, h, s.FRONT, s.ROUND).translate((0, 0, inner)) + posts(board)
    for x, y in places.columns(board):
        plate -= rod(x, y, 0, s.INSERT_HOLE, inner + 0.8)
    return plate - openings(board)


def ring(w, h):
    """The lip inside the tub's walls."""
    outer = [v - 2 * s.WALL - 2 * s.FIT for v in (w, h)]
    return slab(*outer, 2.6, s.ROUND - s.WALL) - slab(outer[0] - 4, outer[1] - 4, 2.6, 1)


def posts(board):
    """What the panel and the strip with the keys are screwed to."""
    inner, found = s.DEPTH - s.FRONT, Manifold()
    for x, y, long in places.posts(board):
        found += rod(x, y, inner - long, 5.6, long + 0.2)
    return found


def openings(board):
    """The window with its 45 degree bevel, the knob's, the keys' and the posts' holes."""
    panel, controls = s.PANEL[places.kind(board)], s.CONTROLS[places.kind(board)]
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
    for x, y, long in places.posts(board):
        found += rod(x, y, s.DEPTH - s.FRONT - long - 1, s.SELF_TAP, long + 1 + s.POST_DEEPER)
    return found


def contents(board):
    """The room that bought parts take: {name: solid}."""
    w, h = places.outside(board)
    panel, controls = s.PANEL[places.kind(board)], s.CONTROLS[places.kind(board)]
    inner = s.DEPTH - s.FRONT
    x, y = places.board_centre(board)
    keys = controls["keys"]
    strip = s.DEPTH - s.KEY_STRIP[2]
    found = {
        "panel": box(0, panel["y"], inner - panel["thick"], *panel["board"], panel["thick"] - 0.01),
        "board": box(x, y, s.FLOOR + s.BOARD_FOOT + 0.01, *s.BOARD[board.MODULE], s.BOARD_STACK),
        "knob": box(*controls["knob"], inner - s.KNOB_BODY[2], *s.KNOB_BODY[:2], s.KNOB_BODY[2] - 0.01),
        "keys": box((keys[0][0] + keys[-1][0]) / 2, keys[0][1], strip - s.KEY_STRIP[1] - 0.01,
                    keys[-1][0] - keys[0][0] + 12, s.KEY_STRIP[0], s.KEY_STRIP[1]),
    }
    for number, at in enumerate(places.xlrs(board)):
        body = Manifold.cylinder(s.XLR_DEEP + s.WALL, s.XLR_HOLE / 2 - s.ROOM, circular_segments=FINE)
        found[f"socket {number}"] = body.rotate((90, 0, 0)).translate((at, h / 2, s.XLR_Z))
    if places.jack(board) is not None:
        wide, tall, deep = s.JACK_BODY
        found["jack"] = box(places.jack(board), h / 2 - s.WALL - deep / 2 - 0.01, s.XLR_Z - tall / 2, wide, deep, tall)
    if places.toggle(board) is not None:
        along, tall, deep = s.TOGGLE_BODY
        found["toggle"] = box(w / 2 - s.WALL - deep / 2 - 0.01, places.toggle(board), s.XLR_Z - tall / 2,
                              deep, along, tall)
    return found


def hardware(board):
    """Screws and what is plugged in from outside, each where it ends up: {name: solid}."""
    w, h = places.outside(board)
    found = {}
    for number, (x, y) in enumerate(places.columns(board)):
        head = Manifold.cylinder(1.25, 2.75, 1.5, FINE)  # ISO 10642: 5.5 mm, 90 degrees
        found[f"case screw {number}"] = (head + rod(0, 0, 0, 3.0, s.SCREW)).translate((x, y, 0.2))
    for number, (x, y) in enumerate(places.board_holes(board)):
        high = s.FLOOR + s.BOARD_FOOT
        found[f"board screw {number}"] = rod(x, y, high + 1.6 - 6, 2.0, 6) + rod(x, y, high + 1.62, 5, 2)
    for number, (x, y, long) in enumerate(places.posts(board)):
        end = s.DEPTH - s.FRONT - long
        found[f"post screw {number}"] = rod(x, y, end - 2.4, 2.0, 6) + rod(x, y, end - 4.2, 5, 1.8)
    for number, x in enumerate(places.xlrs(board)):
        for side, (sx, sz) in enumerate(((-1, 1), (1, -1))):
            at = (x + sx * s.XLR_SCREWS[0] / 2, s.XLR_Z + sz * s.XLR_SCREWS[1] / 2)
            screw = rod(0, 0, -12, 3.0, 15) + rod(0, 0, -s.WALL - 2.9, 6.2, 2.85)
            found[f"socket {number} screw {side}"] = screw.rotate((-90, 0, 0)).translate((at[0], h / 2, at[1]))
    for side in ((0,) if board.MODULE == "pico" else (-1, 1)):
        y, z = places.usb(board)
        found[f"USB plug {side}"] = box(-w / 2 - 6, y + side * s.USB_SIDE, z - 3.5, 24, 12, 7)
    return found
