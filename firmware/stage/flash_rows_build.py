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
    capture moves them; free: 1 for each slot of no fixture, or None."""
    rows, parts, spans = array("H"), array("H"), array("H")
    free = bytearray(b"\x01" * SLOTS)
    for i, f in enumerate(rig.fixtures):
        _lamp_rows(rows, parts, i, f, patch.setups[i * fields.SETUP + fields.CURVE_AT], every_slot)
        spans.extend(array("H", (f.address - 1, min(f.last(), SLOTS) - 1)))
        free[f.address - 1:f.last()] = bytes(f.last() - f.address + 1)
    return rows, parts, _all_curves(), spans, free if every_slot else None


def _row(rows, i, curve, dimmer, most, counts, first=0, last=0, kind=rows_.WHITE):
    for v in (i, curve, dimmer[0], dimmer[1], first, last, kind, counts, most):
        rows.append(v)


def _lamp_rows(rows, parts, i, f, curve_at, every_slot):
    """The rows of fixture i. curve_at: where its map begins in the patch's tables, 0 without one."""
    p, at, first, most = f.personality, {}, len(parts), rows_.TENTH
    for does, coarse, fine, low, high, _default, _snap in p.channels:
        slots = at[does] = f.address + coarse, f.address + fine if fine >= 0 else 0
        if does == "cct" and min(low, high) < _WARM_K:
            most = rows_.LITTLE
        if every_slot and does in p.extras():
            _row(rows, i, rows_.STEEPEST, slots, rows_.LITTLE, 0)
    kind = _parts(parts, p, at)
    own = curve_at or (rows_.LINEAR if f.trims.get("curve") == "linear" else rows_.STEEPEST)
    dimmer = at.get("level", (0, 0))
    if kind != rows_.EMITTERS and dimmer[0]:
        _row(rows, i, own, dimmer, most, 1)
    if kind == rows_.WHITE:
        return
    for curve in _USUAL if own == rows_.STEEPEST else (own,):
        _row(rows, i, curve, dimmer, most, 0, first, len(parts), kind)
    if kind == rows_.EMITTERS:
        _row(rows, i, own, dimmer, most, 1, first, len(parts), kind)


def _parts(parts, p, at):
    """Add the channels of a personality that give colour -> the kind of its rows. at: {what it does: its slots}."""
    if p.emitters:
        shares = _shares(p.emitters)
        for n, emitter in enumerate(p.emitters):
            if emitter[0] in at:
                parts.extend(array("H", at[emitter[0]] + shares[n]))
        return rows_.EMITTERS
    if not ("hue" in at and "sat" in at):
        return rows_.WHITE
    for name in ("hue", "sat", "mix"):
        parts.extend(array("H", at.get(name, (0, 0)) + (0, 0)))
    return rows_.WHEEL


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
