"""Prepares a set of emitters for emitters.py: checks them and finds the faces of all light that they can make. Loaded
once for each kind of lamp, when light is first wanted of it."""

from array import array
from math import sqrt

from micropython import const

_ALIKE = 0.002  # emitters closer than this in xy count as one
_APART = 2e-5  # an emitter on the straight line between two others counts as this far off it
# What lies between the edge of the gamut and the line of two emitters is left out where single precision cannot tell
# it from the line: where no emitter is farther beyond it than this, in xy, or their light is so little of the whole.
_FAR = 2.1e-5
_THIN = 3e-6
_INSET = 2e-5  # the edge of the gamut is drawn in by so much of the way to its middle: on it, faces are told by noise
_WHITE_DUV = 0.025  # an emitter within this of the Planckian locus counts as white,
_WARMEST_WHITE = const(1900)  # K; amber is near the locus too, but warmer


def prepare(emitters, colours=1.0):
    """What emitters.solve and read need to know of a set of emitters -> a tuple.

    emitters: 2 to 7 of (name, x, y, out), where out is the luminance at full in any one unit. colours: 0.05..1, how far
    coloured emitters may go while a white one gives most of the light: 1 gives the most light, less gives light of
    better rendering. Errors: ValueError that names the emitter that is out of range or like another.
    """
    if not 2 <= len(emitters) <= 7:
        raise ValueError("%d emitters: a mix takes 2 to 7" % len(emitters))
    if not 0.05 <= colours <= 1:
        raise ValueError("colours held back to %s: must be 0.05..1" % colours)
    for emitter in emitters:
        _check(emitter)
    _check_apart(emitters)
    caps = array("f", [1 if colours == 1 or _is_white(e) else colours for e in emitters])
    table, n = array("f"), len(emitters)
    for k in range(n):
        _name, x, y, out = emitters[k]
        table.extend(array("f", (x, y, out / y * caps[k])))
    centre = sum([e[1] for e in emitters]) / n, sum([e[2] for e in emitters]) / n
    spread = _spread([[table[3 * k], table[3 * k + 1]] for k in range(n)], centre)
    return (table, caps, centre) + _faces(table, spread, centre)


def _check(emitter):
    name, x, y, out = emitter
    if not (x > 0 and y > 0 and x + y <= 1.001):
        raise ValueError("emitter %s: x %s, y %s is not the chromaticity of a light" % (name, x, y))
    if not out > 0:
        raise ValueError("emitter %s: output %s must be above zero" % (name, out))


def _check_apart(emitters):
    """Errors: ValueError where two are alike, or all are on one line."""
    for i, one in enumerate(emitters):
        for other in emitters[:i]:
            if abs(one[1] - other[1]) < _ALIKE and abs(one[2] - other[2]) < _ALIKE:
                raise ValueError("emitters %s and %s are alike: make them one" % (other[0], one[0]))
    a, b = [e[1:3] for e in emitters[:2]]
    if len(emitters) > 2 and max([abs(_off_line(e[1:3], a, b)) for e in emitters]) < _ALIKE:
        names = ", ".join([e[0] for e in emitters])
        raise ValueError("emitters %s lie on one line: they mix no field of colour" % names)


def _is_white(emitter):
    from firmware.light import chromaticity  # only where coloured emitters are limited

    cct, duv = chromaticity.cct_duv(emitter[1], emitter[2])
    return cct > _WARMEST_WHITE and abs(duv) < _WHITE_DUV


def _off_line(p, a, b):
    """Signed distance of p from the line through a and b, + to its left."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    return (dx * (p[1] - a[1]) - dy * (p[0] - a[0])) / sqrt(dx * dx + dy * dy)


def _spread(points, mean):
    """Move points that are on the line between two others a little off it. Three in line make a face of six sides,
    which can be mixed in more ways than one: the points so moved cut it into three that can be mixed in one way."""
    n = len(points)
    for _ in range(3):
        for m in range(n):
            for i in range(n):
                for j in range(i):
                    if m not in (i, j):
                        _step_off(points[m], points[i], points[j], mean)
    return points


def _step_off(p, a, b, mean):
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = sqrt(dx * dx + dy * dy)
    along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length
    off = _off_line(p, a, b)
    if not 0 < along < length or abs(off) >= _APART * 0.999:
        return
    if abs(off) < 1e-6:  # on the line: go outward, so that an emitter on the edge of the gamut stays there
        side = -1 if _off_line(mean, a, b) > 0 else 1
    else:
        side = 1 if off > 0 else -1
    by = (side * _APART - off) / length
    p[0] -= dy * by
    p[1] += dx * by


def _faces(table, spread, centre):
    """The faces of the zonotope: (edges, corners, faces, spans).

    edges: for each side of the gamut a line a x + b y + c, + outside, in units of xy; corners: its two ends; faces:
    planes, scaled so that their value on a ray is 1 / the length of the ray up to them; spans: for each face the two
    emitters that span it, and a bit for each that is full. table: x, y and X + Y + Z at full of each emitter; spread:
    points beside them, no three of which are on a line; centre: the middle of the gamut.
    """
    n = len(table) // 3
    whole = sum([table[k] for k in range(2, len(table), 3)])
    edges, corners, faces, spans = array("f"), array("f"), array("f"), bytearray()
    for i in range(n):
        for j in range(i):
            x, y = table[3 * i], table[3 * i + 1]
            a, b = table[3 * j + 1] - y, x - table[3 * j]
            length = sqrt(a * a + b * b)
            for side in (1 / length, -1 / length):
                line = a * side, b * side, -(a * x + b * y) * side
                full, height, far = _full(table, spread, i, j, side)
                if not full:
                    ends = array("f")
                    for k in (3 * i, 3 * j):
                        ends.extend(array("f", [table[k + c] + (centre[c] - table[k + c]) * _INSET for c in (0, 1)]))
                    corners.extend(ends)
                    edges.extend(array("f", (line[0], line[1], -line[0] * ends[0] - line[1] * ends[1])))
                elif far > _FAR and height > _THIN * whole:
                    faces.extend(array("f", [c / height for c in line]))
                    spans.extend(bytes((i, j, full)))
    return edges, corners, faces, spans


def _full(table, spread, i, j, side):
    """Emitters beyond the line of i and j on its side (a bit each), the sum of their distances from it times what each
    gives, and the greatest of the distances."""
    full, height, far = 0, 0.0, 0.0
    for k in range(len(spread)):
        if k not in (i, j) and side * _off_line(spread[k], spread[j], spread[i]) > 0:
            full |= 1 << k
            off = _off_line(table[3 * k:3 * k + 2], table[3 * j:3 * j + 2], table[3 * i:3 * i + 2])
            off = off if side > 0 else -off
            height += off * table[3 * k + 2]
            far = max(far, off)
    return full, height, far
