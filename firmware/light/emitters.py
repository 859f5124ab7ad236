"""Mixing emitters: the drives that make a wanted chromaticity with the most light, and the light that drives make.

All light that a set of emitters can make, drawn in tristimulus space, is a zonotope: a box sheared into three
dimensions. Its faces are parallelograms, each spanned by two emitters while the others are full or off. The most light
of a chromaticity is where its ray leaves the box. The face that it hits gives every drive, and because the surface of
the box has no gaps, the drives have no jumps along a fade. emitters_faces.py finds the faces once; `solve` looks for
the one that the ray hits.
"""

from math import sqrt

from micropython import const

from firmware.light import colour

_STEPS = const(5)  # along a line of equal hue, towards the edge of the gamut
_PACE = 1.5  # times its distance goes a step: more than once, as the line meets it slantwise
_BACK = 0.05  # share of the line over which its direction is read
_ACROSS = const(10)  # times as far counts what lies across the line
_MISS = 1e-6  # xy: a face whose drives make the wish this nearly is the one
_LESS = 0.01  # xy: times the share of light that a face gives more, it must make the wish so much nearer
_TINY = 1e-9
_EDGE = 1e-4  # u'v': this close to the edge of the gamut is inside it


def solve(mix, x, y, over=None):
    """Drives that make a chromaticity with the most light: (drives, light, miss).

    mix: from emitters_faces.prepare; x, y: CIE 1931; over: (x, y) of the white that the hue is over, None for the
    middle of the gamut. A wish outside the gamut goes to its edge, along the line of equal hue to that white. drives: a
    tuple of 0..1, linear in light; light: luminance in the unit of the emitters' outputs; miss: distance from the wish
    in CIE 1976 u'v', 0 inside. Errors: ValueError where y is not above zero.
    """
    return finished(solving(mix, x, y, over))


def finished(pieces):
    """What a generator returns that works something out in pieces."""
    try:
        while True:
            next(pieces)
    except StopIteration as e:
        return e.value


def solving(mix, x, y, over=None):
    """As solve, in pieces: a generator that returns what solve does."""
    if not y > 0:
        raise ValueError("chromaticity %s, %s: y must be above zero" % (x, y))
    emitters, caps, centre, edges, corners, faces, spans = mix
    if len(caps) == 2:
        return _solve_line(mix, x, y)
    miss = 0.0
    if _outside(edges, x, y) > 0:
        wanted = x, y
        x, y = yield from _reach(edges, corners, x, y, _inside(edges, centre, over))
        miss = colour.delta_uv(x, y, *wanted)
        if miss < _EDGE:
            miss = 0.0
    drives, light = _leave(emitters, faces, spans, x, y)
    if min(caps) < 1:
        return _uncapped(drives, caps, light) + (miss,)
    return tuple(drives), light, miss


def read(mix, drives):
    """Chromaticity and luminance (x, y, light) that drives of 0..1 make: the inverse of solve. With all off: the middle
    of the gamut, and no light."""
    emitters, caps, centre = mix[0], mix[1], mix[2]
    x = y = total = 0.0
    for k in range(len(caps)):
        drive = drives[k] / caps[k] * emitters[3 * k + 2]
        total += drive
        x += drive * emitters[3 * k]
        y += drive * emitters[3 * k + 1]
    return (x / total, y / total, y) if total > 0 else (centre[0], centre[1], 0.0)


def _leave(emitters, faces, spans, x, y):
    """Drives (a list) and luminance where the ray of a chromaticity leaves the zonotope."""
    best = at = 0
    for f in range(0, len(faces), 3):
        reach = faces[f] * x + faces[f + 1] * y + faces[f + 2]
        if reach > best:
            best, at = reach, f
    miss, drives = _on_face(emitters, spans, at, x, y)
    least = miss * best
    if least > _MISS:
        # Faces nearly in one plane, or steep ones at the edge, cannot be told by that alone.
        for f in range(0, len(faces), 3):
            reach = faces[f] * x + faces[f + 1] * y + faces[f + 2]
            if reach > best / 16:
                miss, found = _on_face(emitters, spans, f, x, y)
                miss = miss * reach + (1 - reach / best) * _LESS
                if miss < least:
                    least, drives = miss, found
    light = 0.0
    for k in range(len(drives)):
        light += drives[k] * emitters[3 * k + 2]
    return drives, y * light


def _on_face(emitters, spans, f, x, y):
    """Drives that make a chromaticity on a face, as nearly as 0..1 allows, and before them what is missing of it: xy
    times all X + Y + Z that is made."""
    i, j, full = 3 * spans[f], 3 * spans[f + 1], spans[f + 2]
    dx = dy = 0.0  # from the wish to the light of the full ones; the two must make up for it
    drives = [0.0] * (len(emitters) // 3)
    for k in range(len(drives)):
        if full >> k & 1:
            drives[k] = 1.0
            dx += emitters[3 * k + 2] * (x - emitters[3 * k])
            dy += emitters[3 * k + 2] * (y - emitters[3 * k + 1])
    ix, iy, jx, jy = emitters[i] - x, emitters[i + 1] - y, emitters[j] - x, emitters[j + 1] - y
    area = ix * jy - iy * jx
    wi, wj = emitters[i + 2], emitters[j + 2]
    one, other = (dx * jy - dy * jx) / (area * wi), (ix * dy - iy * dx) / (area * wj)
    a, b = min(max(one, 0.0), 1.0), min(max(other, 0.0), 1.0)
    across = ix * jx + iy * jy  # what one lacks, the other makes up for as well as it can
    if a != one:
        b = min(max(other + (one - a) * wi * across / ((jx * jx + jy * jy + _TINY) * wj), 0.0), 1.0)
    elif b != other:
        a = min(max(one + (other - b) * wj * across / ((ix * ix + iy * iy + _TINY) * wi), 0.0), 1.0)
    drives[spans[f]], drives[spans[f + 1]] = a, b
    one, other = (one - a) * wi, (other - b) * wj
    return abs(one * ix + other * jx) + abs(one * iy + other * jy), drives


def _uncapped(drives, caps, light):
    """Drives that were found with coloured emitters limited, raised together until one is full."""
    drives = [drives[k] * caps[k] for k in range(len(caps))]
    scale = 1 / max(drives)
    return tuple([d * scale for d in drives]), light * scale


def _outside(edges, x, y):
    """Distance of a chromaticity from the gamut, in xy; below 0 inside."""
    most = -1.0
    for e in range(0, len(edges), 3):
        most = max(most, edges[e] * x + edges[e + 1] * y + edges[e + 2])
    return most


def _inside(edges, centre, over):
    """A white well inside the gamut: `over` itself, or moved as far towards the centre as it must be."""
    if over is None:
        return centre
    deep, out = _outside(edges, *centre), _outside(edges, *over)
    if out <= deep / 4:
        return over
    share = 0.75 * deep / (deep - out)
    return centre[0] + (over[0] - centre[0]) * share, centre[1] + (over[1] - centre[1]) * share


def _reach(edges, corners, x, y, over):
    """Where a wish (x, y) outside the gamut goes: along the line of equal hue to a white inside, to the gamut's edge.

    Each step goes about as far as the edge is away, so a wish just outside moves just as little. What is left goes to
    the nearest place of the edge, where what lies across the line counts as so much farther: a line that passes by the
    gamut ends beside it, and nowhere is there a test whose two sides could make a jump.
    """
    wx, wy = over
    line, share = colour.ray(x, y, wx, wy), 1.0
    pace = _PACE / sqrt((x - wx) * (x - wx) + (y - wy) * (y - wy))
    for _ in range(_STEPS):
        yield
        share = min(max(share - _outside(edges, x, y) * pace, 0.0), 1.0)
        x, y = colour.on_ray(line, share)
    yield
    if _outside(edges, x, y) <= 0:
        return x, y
    wx, wy = colour.on_ray(line, share - _BACK)
    return _nearest(corners, x, y, x - wx, y - wy)


def _nearest(corners, x, y, dx, dy):
    """The place of the gamut's edge that is nearest to (x, y), where distances along (dx, dy) count less."""
    least = 1e9
    length = sqrt(dx * dx + dy * dy)
    dx, dy = dx / length, dy / length
    for c in range(0, len(corners), 4):
        ax, ay, bx, by = corners[c] - x, corners[c + 1] - y, corners[c + 2] - x, corners[c + 3] - y
        p, q = (ax * dx + ay * dy) / _ACROSS, ax * dy - ay * dx
        vx, vy = bx - ax, by - ay
        r, s = (vx * dx + vy * dy) / _ACROSS, vx * dy - vy * dx
        share = min(max(-(p * r + q * s) / (r * r + s * s), 0.0), 1.0)
        p, q = p + share * r, q + share * s
        if p * p + q * q < least:
            least, nx, ny = p * p + q * q, ax + share * vx, ay + share * vy
    return x + nx, y + ny


def _solve_line(mix, x, y):
    """Two emitters make a line of colours: the nearest of them in CIE 1976 u'v'."""
    emitters = mix[0]
    (u, v), (u0, v0), (u1, v1) = [_uv(*p) for p in ((x, y), emitters[:2], emitters[3:5])]
    du, dv = u1 - u0, v1 - v0
    share = min(max(((u - u0) * du + (v - v0) * dv) / (du * du + dv * dv), 0.0), 1.0)
    # In u'v' a mix divides the line by X + 15 Y + 3 Z of its parts.
    weight = [(12 * emitters[k + 1] - 2 * emitters[k] + 3) * emitters[k + 2] for k in (0, 3)]
    drives = [(1 - share) / weight[0], share / weight[1]]
    drives = [d * mix[1][k] / max(drives) for k, d in enumerate(drives)]
    gx, gy, light = read(mix, drives)
    miss = colour.delta_uv(x, y, gx, gy)
    return tuple(drives), light, miss if miss > _EDGE else 0.0


def _uv(x, y):
    d = 12 * y - 2 * x + 3
    return 4 * x / d, 9 * y / d
