"""The integer loops of the limiter on flashing in plain Python: what light a frame gives, what moves against the common
direction, how often each lamp changed.

Called by flash_limiter.py where flash_loops_viper.py, the same in native code, cannot be had;
tests/vm/flash_loops_twins.py holds the two equal. Nothing allocates on the chip. The arrays: flash_rows.py.
"""

from firmware.stage.flash_rows import (
    BIAS,
    COUNTS,
    CURVE,
    DIMMER,
    DIMMER_LOW,
    EMITTERS,
    FIRST,
    FIXTURE,
    HIGH,
    KIND,
    KNOTS,
    LAST,
    LEAST,
    LITTLE,
    LOW,
    LUMINANCE,
    OFTEN,
    ONE,
    PART,
    RED,
    REDNESS,
    ROW,
    STEEPEST,
    TENTH,
    WHITE,
    U,
    Y,
)
from firmware.stage.patch_fields import CURVE_SIZE

# --- light ---


def _value(frame, high, low):
    if low:
        return frame[high - 1] << 8 | frame[low - 1]
    return frame[high - 1] * 257


def _light(v, curve, curves, tables):
    """Light of drive v, 0..65535, by a curve, of ONE."""
    if not curve:
        return v >> 4
    if curve <= STEEPEST:
        i = (curve - 1) * KNOTS + (v >> 11)
        return curves[i] + ((curves[i + 1] - curves[i]) * (v & 2047) >> 11)
    low, high = 0, CURVE_SIZE - 2  # knots of the map from light to drive
    while high - low > 1:
        middle = low + high >> 1
        if tables[curve + middle] > v:
            high = middle
        else:
            low = middle
    s = 4 if low < 16 else 4 + ((low - 4) // 12 << 1)
    d = tables[curve + low + 1] - tables[curve + low]
    part = ((min(v - tables[curve + low], d) << 8) // d << s >> 8) if d > 0 and v > tables[curve + low] else 0
    return (low - 6 * s + 24 << s) + part >> 4


def signals(frame, rows, parts, curves, tables, out, n):
    """The signals of n rows in a frame -> R - G - B of the reddest."""
    most = -ONE
    for r in range(n):
        i = r * ROW
        curve, kind = rows[i + CURVE], rows[i + KIND]
        dim = ONE
        if rows[i + DIMMER]:
            dim = _light(_value(frame, rows[i + DIMMER], rows[i + DIMMER_LOW]), curve, curves, tables)
        y = ONE
        u = -ONE
        if kind == EMITTERS:
            y = u = 0
            p = rows[i + FIRST]
            while p < rows[i + LAST]:
                v = _light(_value(frame, parts[p + HIGH], parts[p + LOW]), curve, curves, tables)
                y += (parts[p + Y] - BIAS) * v
                u += (parts[p + U] - BIAS) * v
                p += PART
            y, u = y >> 12, u >> 12
        elif kind != WHITE:
            p = rows[i + FIRST]
            hue, sat = _value(frame, parts[p + HIGH], parts[p + LOW]) * 6, _saturation(frame, parts, p)
            # Red, green and blue are one wave, each a third of the circle after the one before.
            red = _wave(hue, sat)
            green = _wave(hue - 131072, sat)
            blue = _wave(hue - 262144, sat)
            y = 871 * red + 2929 * green + 296 * blue >> 12
            u = red - green - blue
        out[2 * r] = y * dim >> 12
        u = max(-8191, min(8191, u)) * dim >> 12
        most = max(most, u)
        out[2 * r + 1] = u + BIAS
    return most


def _saturation(frame, parts, p):
    """Saturation and mix together, of 4096."""
    sat = 4096
    for _ in range(2):
        p += PART
        if parts[p + HIGH]:
            sat = sat * (_value(frame, parts[p + HIGH], parts[p + LOW]) + 1 >> 4) >> 12
    return sat


def _wave(at, sat):
    """One of red, green and blue, of 4096, at a place on the circle of 6 * 65536."""
    at %= 393216
    sector, part = at >> 16, (at & 65535) >> 4
    wave = 4096 if sector in (0, 5) else 4096 - part if sector == 1 else part if sector == 4 else 0
    return 4096 - (sat * (4096 - wave) >> 12)


# --- changes ---


def shift(extremes, new, old, n):
    """What the look does is no change of the effects': the extremes of n rows go along."""
    for r in range(2 * n):
        extremes[r] += new[r] - old[r]


def judge(rows, want, extremes, ups, marks, swings, totals, n, fixtures):
    """Mark the fixtures that would move against the direction: LUMINANCE, REDNESS, or OFTEN, where they have moved
    often enough. ups: LUMINANCE, REDNESS: which directions are up; OFTEN: there is red light. -> all marks together."""
    for r in range(n):
        marks[rows[r * ROW + FIXTURE]] = 0
    found = 0
    for r in range(n):
        i, mark = r * ROW, 0
        f = rows[i + FIXTURE]
        d = want[2 * r] - (extremes[2 * r] - BIAS)
        if (-d if ups & LUMINANCE else d) > rows[i + LEAST]:
            mark = LUMINANCE
        d = want[2 * r + 1] - extremes[2 * r + 1]
        if ups & OFTEN and (-d if ups & REDNESS else d) > RED:
            mark |= REDNESS
        if rows[i + COUNTS]:
            if totals[f] >= 4 and _is_change(want[2 * r], swings, f, TENTH):
                mark |= OFTEN
            red = fixtures + 1 + f
            if totals[red] >= 4 and _is_change(max(0, want[2 * r + 1] - BIAS), swings, red, RED):
                mark |= OFTEN
        marks[f] |= mark
        found |= mark
    return found


def _is_change(v, swings, s, least):
    """True where a signal v would be one more change of count s."""
    d = v - swings[2 * s]
    return (-d if swings[2 * s + 1] == 1 else d) > least


def settle(rows, want, shown, extremes, ups, turned, marks, mask, n):
    """The wanted signals are shown, but for fixtures that are refused: marked by a bit of the mask. turned: LUMINANCE,
    REDNESS: which directions have just become what `ups` says."""
    for r in range(2 * n):
        if not marks[rows[(r >> 1) * ROW + FIXTURE]] & mask:
            shown[r] = want[r]
        v, which = shown[r], REDNESS
        if not r & 1:
            v, which = v + BIAS, LUMINANCE
        if turned & which or (v > extremes[r] if ups & which else v < extremes[r]):
            extremes[r] = v


def choose(want, held, out, spans, marks, mask, n):
    """Make the frame: the wanted slots, or, of fixtures that are refused, those held. -> 1 if a slot changed."""
    changed = 0
    for f in range(n):
        for i in range(spans[2 * f], spans[2 * f + 1] + 1):
            v = held[i] if marks[f] & mask else want[i]
            if out[i] != v:
                out[i] = v
                changed = 1
    return changed


def count(rows, shown, seen, swings, totals, columns, at, n, fixtures):
    """Count the changes of each lamp and of their sum. seen: room for their signals; at: where the column begins that
    is counted into."""
    total = lamps = 0
    for r in range(n):
        if rows[r * ROW + COUNTS]:
            f = rows[r * ROW + FIXTURE]
            seen[f] = shown[2 * r]
            seen[fixtures + 1 + f] = max(0, shown[2 * r + 1] - BIAS)
            total += shown[2 * r]
            lamps += 1
    if lamps:
        seen[fixtures] = total // lamps
    for s in range(2 * fixtures + 2):
        v, way = seen[s], swings[2 * s + 1]
        d = v - swings[2 * s]
        up = 1
        if d < 0:
            d, up = -d, 2
        if way != up:
            if d <= (TENTH if s <= fixtures else RED):
                continue
            swings[2 * s + 1] = up
            if totals[s] < 250:
                totals[s] += 1
                columns[at + s] += 1
        swings[2 * s] = v


def advance(totals, columns, at, n):
    """A column of the counts begins anew."""
    for s in range(n):
        totals[s] -= columns[at + s]
        columns[at + s] = 0


# --- slots of no fixture ---


def judge_slots(want, extremes, free, curves, up):
    """1 where a slot of no fixture would move against the direction of luminance. extremes: as slots."""
    for i in range(len(free)):
        if free[i] and want[i] != extremes[i]:
            d = (_light(want[i] * 257, STEEPEST, curves, curves)
                 - _light(extremes[i] * 257, STEEPEST, curves, curves))
            if (-d if up else d) > LITTLE:
                return 1
    return 0


def choose_slots(want, out, extremes, free, up, turned):
    """As choose and settle, of the slots of no fixture: what is wanted is shown."""
    changed = 0
    for i in range(len(free)):
        if free[i]:
            v = want[i]
            if turned or (v > extremes[i] if up else v < extremes[i]):
                extremes[i] = v
            if out[i] != v:
                out[i] = v
                changed = 1
    return changed
