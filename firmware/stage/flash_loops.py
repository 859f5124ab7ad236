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
    SUMS,
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


def judge(rows, want, seen, extremes, ups, marks, swings, ways, totals, n, fixtures):
    """Mark the fixtures that would move against the direction: LUMINANCE, REDNESS, or OFTEN, where they have moved
    often enough; all of them, where the sums have. ups: LUMINANCE, REDNESS: which directions are up; OFTEN: there is
    red light; seen: the sums of `want`. -> all marks together."""
    found = 0
    for k in range(2 * SUMS):
        red = 1 if k >= SUMS else 0
        s = fixtures + red * (fixtures + 1)
        if totals[s] >= 4 and _is_change(seen[k] - swings[2 * (n + k - red * SUMS) + red], ways[s],
                                         RED if red else TENTH):
            found = OFTEN
    for r in range(n):
        marks[rows[r * ROW + FIXTURE]] = found
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
            if totals[f] >= 4 and _is_change(want[2 * r] - swings[2 * r], ways[f], TENTH):
                mark |= OFTEN
            red = fixtures + 1 + f
            if totals[red] >= 4 and _is_change(max(0, want[2 * r + 1] - BIAS) - swings[2 * r + 1], ways[red], RED):
                mark |= OFTEN
        marks[f] |= mark
        found |= mark
    return found


def _is_change(d, way, least):
    """True where a signal that moves by d would be one more change of a count that goes this way."""
    return (-d if way == 1 else d) > least


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


def add_up(rows, shown, seen, n):
    """The signals of the sums, of those of n rows."""
    for k in range(SUMS):
        y = u = lamps = 0
        for r in range(n):
            if rows[r * ROW + COUNTS] >> k & 1:
                y += shown[2 * r]
                u += max(0, shown[2 * r + 1] - BIAS)
                lamps += 1
        if lamps:
            seen[k], seen[SUMS + k] = y // lamps, u // lamps


def count(rows, shown, seen, swings, ways, totals, columns, at, n, fixtures):
    """Count the changes of each fixture and of the sums. seen: of `shown`; at: where the column begins that is counted
    into."""
    if not _turning(rows, shown, seen, swings, ways, n, fixtures):
        return
    for c in (0, 1):
        for r in range(n + SUMS):
            s = _count_of(rows, r, n, fixtures, c)
            if s >= 0 and ways[s] > 3:
                swings[2 * r + c] = _seen(shown, seen, r, n, c)
    for s in range(2 * fixtures + 2):
        if ways[s] > 3:
            ways[s] = 1 if ways[s] & 4 else 2
            if totals[s] < 250:
                totals[s] += 1
                columns[at + s] += 1


def _turning(rows, shown, seen, swings, ways, n, fixtures):
    """Follow the extremes of each row and sum, and mark the counts that turn in their ways: 4 up from now on, 8 down.
    -> True where any does."""
    turned = False
    for c in (0, 1):
        for r in range(n + SUMS):
            s = _count_of(rows, r, n, fixtures, c)
            if s < 0:
                continue
            v, way = _seen(shown, seen, r, n, c), ways[s] & 3
            d = v - swings[2 * r + c]
            if d > 0 and way == 1 or d < 0 and way == 2:
                swings[2 * r + c] = v
            elif abs(d) > (RED if c else TENTH):
                ways[s] |= 4 if d > 0 else 8
                turned = True
    return turned


def _count_of(rows, r, n, fixtures, c):
    """The count of row or sum r; -1: none. c: 0 luminance, 1 red."""
    if r < n:
        if not rows[r * ROW + COUNTS]:
            return -1
        return rows[r * ROW + FIXTURE] + c * (fixtures + 1)
    return fixtures + c * (fixtures + 1)


def _seen(shown, seen, r, n, c):
    if r < n:
        return max(0, shown[2 * r + 1] - BIAS) if c else shown[2 * r]
    return seen[c * SUMS + r - n]


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
