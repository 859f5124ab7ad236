"""Lays out what the limiter on flashing must know of a rig (flash_rows.py). Loaded by flash_limiter.py when the rig has
changed.

Emitters are judged by the chromaticity and output that their personality says, as linear sRGB in which the reddest of a
lamp's emitters at full is R = 1; hue and saturation as red, green and blue of sRGB. A lamp that has only a level, and a
slot of which nothing is known, is a white lamp.
"""

from array import array

from firmware.stage import flash_rows as rows_
from firmware.stage import patch_fields as fields
from firmware.universe import SLOTS

_USUAL = (rows_.LINEAR, rows_.SQUARE, rows_.S)
_WARM_K = 2000  # below about this a white is a saturated red as WCAG has it


def build(rig, patch, every_slot):
    """(rows, parts, curves, spans, free) of a rig. every_slot: slots of which nothing is known are judged too, as a
    capture moves them; free: 1 for each slot of the first universe that no fixture has, or None.

    All is counted before room is taken for it: arrays that grow would leave the heap in pieces."""
    fixtures, shapes, row_count, part_count = rig.fixtures, {}, 0, 0
    for f in fixtures:
        if id(f.personality) not in shapes:
            shapes[id(f.personality)] = _shape(f.personality, every_slot)
    for i, f in enumerate(fixtures):
        kind, _most, dimmer, own_parts, extras = shapes[id(f.personality)]
        row_count += len(extras) + (kind != rows_.EMITTERS and dimmer is not None)
        if kind != rows_.WHITE:
            row_count += len(_laws(_own(f, patch, i)))
        part_count += len(own_parts)
    rows, parts = array("H", bytes(2 * rows_.ROW * row_count)), array("H", bytes(2 * rows_.PART * part_count))
    spans, free, row, part = array("H", bytes(4 * len(fixtures))), bytearray(b"\x01" * SLOTS), 0, 0
    for i, f in enumerate(fixtures):
        shape = shapes[id(f.personality)]
        row = _lamp_rows(rows, row, part, i, f.address, shape, _own(f, patch, i))
        for coarse, fine, y, u in shape[3]:
            _put(parts, part, (_slot(f.address, coarse), _slot(f.address, fine), y, u))
            part += rows_.PART
        _put(spans, 2 * i, (f.address - 1, f.last() - 1))
        if f.address <= SLOTS:
            free[f.address - 1:f.last()] = bytes(f.last() - f.address + 1)
    return rows, parts, _all_curves(), spans, free if every_slot else None


def _put(out, at, values):
    for v in values:
        out[at] = v
        at += 1


def _slot(address, offset):
    return address + offset if offset >= 0 else 0


def _own(f, patch, i):
    """The dimming curve of fixture i: where its map begins in the patch's tables, or one of the usual."""
    measured = patch.setups[i * fields.SETUP + fields.CURVE_AT]
    return measured or (rows_.LINEAR if f.trims.get("curve") == "linear" else rows_.STEEPEST)


def _laws(own):
    return _USUAL if own == rows_.STEEPEST else (own,)


def _lamp_rows(rows, at, part, i, address, shape, own):
    """The rows of fixture i, from `at` on -> where they end. part: where its parts begin."""
    kind, most, dimmer, own_parts, extras = shape
    last = part + rows_.PART * len(own_parts)
    high, low = (_slot(address, dimmer[0]), _slot(address, dimmer[1])) if dimmer else (0, 0)
    for coarse, fine in extras:
        _put(rows, at, (i, rows_.STEEPEST, _slot(address, coarse), _slot(address, fine), 0, 0, rows_.WHITE, 0,
                        rows_.LITTLE))
        at += rows_.ROW
    if kind != rows_.EMITTERS and dimmer:
        sums = rows_.IN_ALL if kind == rows_.WHITE else rows_.AS_WHITE
        _put(rows, at, (i, own, high, low, 0, 0, rows_.WHITE, sums, most))
        at += rows_.ROW
    if kind == rows_.WHITE:
        return at
    for curve in _laws(own):
        sums = 1 << curve if own == rows_.STEEPEST else rows_.IN_ALL - rows_.AS_WHITE
        if kind == rows_.EMITTERS and (own != rows_.STEEPEST or curve == rows_.SQUARE):
            sums += rows_.AS_WHITE
        _put(rows, at, (i, curve, high, low, part, last, kind, sums, most))
        at += rows_.ROW
    return at


def _shape(p, every_slot):
    """What the lamps of a personality have in common: the kind of their rows; the least change that counts; where the
    dimmer is, (coarse, fine), or None; the channels that give colour, (coarse, fine, Y, U) each; and those of which
    nothing is known, where these count. Places are those of the personality, -1 for none."""
    at, most, extras = {}, rows_.TENTH, []
    for does, coarse, fine, low, high, _default, _snap in p.channels:
        at[does] = coarse, fine
        if does == "cct" and min(low, high) < _WARM_K:
            most = rows_.LITTLE
        if every_slot and does in p.extras():
            extras.append((coarse, fine))
    kind, parts = rows_.WHITE, []
    if p.emitters:
        kind, shares = rows_.EMITTERS, _shares(p.emitters)
        parts = [at[e[0]] + shares[n] for n, e in enumerate(p.emitters) if e[0] in at]
    elif "hue" in at and "sat" in at:
        kind, parts = rows_.WHEEL, [at.get(name, (-1, -1)) + (0, 0) for name in ("hue", "sat", "mix")]
    return kind, most, at.get("level"), parts, extras


def _shares(emitters):
    """(Y, U) of each emitter at full, + BIAS."""
    found, whole, reddest = [], 0, 1e-6
    for _name, x, y, out in emitters:
        # XYZ to linear sRGB: IEC 61966-2-1.
        xx, zz = x / y, (1 - x - y) / y
        red, green, blue = (3.2406 * xx - 1.5372 - 0.4986 * zz, -0.9689 * xx + 1.8758 + 0.0415 * zz,
                            0.0557 * xx - 0.2040 + 1.0570 * zz)
        found.append((out, red * out, max(0, green) * out, max(0, blue) * out))
        whole += out
        reddest = max(reddest, red * out)
    shares = []
    for out, red, green, blue in found:
        two = out / whole, (red - green - blue) / reddest
        shares.append(tuple([rows_.BIAS + max(-12000, min(12000, int(v * rows_.ONE + 0.5))) for v in two]))
    return shares


def _all_curves():
    """The knots of the curves: light of drive 0..1 by the square law 2.2 and by 3 d^2 - 2 d^3, and the light of a curve
    that is at each drive as steep as the steepest of these and the line."""
    found = []
    for law in (_square, _s_curve, _steepest):
        found += [int(law(n / (rows_.KNOTS - 1)) * rows_.ONE + 0.5) for n in range(rows_.KNOTS)]
    return array("H", found)


def _square(d):
    return d ** 2.2


def _s_curve(d):
    return (3 - 2 * d) * d * d


def _steepest(d):
    line, bend = 0.2113, 0.6623  # where the S becomes steeper than the line, and the square law than the S
    if d <= line:
        return d
    if d <= bend:
        return line + _s_curve(d) - _s_curve(line)
    return _steepest(bend) + _square(d) - _square(bend)
