"""flash_loops in native code, for chips that have an emitter. Imported by flash_limiter.py if it can be.

The numbers are those of flash_rows.py and patch_fields.py (viper folds only constants of its own module): a test holds
them equal.
"""

import micropython
from micropython import const

_ROW = const(9)
_FIXTURE = const(0)
_CURVE = const(1)
_DIMMER = const(2)
_DIMMER_LOW = const(3)
_FIRST = const(4)
_LAST = const(5)
_KIND = const(6)
_COUNTS = const(7)
_LEAST = const(8)
_STEEPEST = const(3)
_SUMS = const(4)
_WHITE = const(0)
_EMITTERS = const(1)
_PART = const(4)
_HIGH = const(0)
_LOW = const(1)
_Y = const(2)
_U = const(3)
_BIAS = const(1 << 14)
_ONE = const(4096)
_KNOTS = const(33)
_TENTH = const(400)
_LITTLE = const(246)
_SLOTS = const(512)
_RED = const(225)
_LUMINANCE = const(1)
_REDNESS = const(2)
_OFTEN = const(4)
_CURVE_SIZE = const(66)


@micropython.viper
def _light(v: int, curve: int, curves: ptr16, tables: ptr16) -> int:  # noqa: F821
    if curve == 0:
        return v >> 4
    if curve <= _STEEPEST:
        i = (curve - 1) * _KNOTS + (v >> 11)
        d = int(curves[i])
        return d + ((int(curves[i + 1]) - d) * (v & 2047) >> 11)
    low = 0
    high = _CURVE_SIZE - 2
    while high - low > 1:
        middle = low + high >> 1
        if int(tables[curve + middle]) > v:
            high = middle
        else:
            low = middle
    s = 4
    if low >= 16:
        s += (low - 4) // 12 << 1
    i = int(tables[curve + low])
    d = int(tables[curve + low + 1]) - i
    part = 0
    if d > 0 and v > i:
        part = v - i
        if part > d:
            part = d
        part = (part << 8) // d << s >> 8
    return (low - 6 * s + 24 << s) + part >> 4


@micropython.viper
def signals(frame: ptr8, rows: ptr16, parts: ptr16, curves: ptr16, tables: ptr16, out: ptr16, n: int) -> int:  # noqa: F821, C901, E501
    """As flash_loops.signals."""
    most = 0 - _ONE
    r = 0
    i = 0
    while r < n:
        curve = int(rows[i + _CURVE])
        kind = int(rows[i + _KIND])
        dim = _ONE
        v = int(rows[i + _DIMMER])
        if v:
            k = int(rows[i + _DIMMER_LOW])
            v = int(frame[v - 1]) << 8 | int(frame[k - 1]) if k else int(frame[v - 1]) * 257
            dim = int(_light(v, curve, curves, tables))
        y = _ONE
        u = 0 - _ONE
        if kind != _WHITE:
            y = 0
            u = 0
            hue = -1
            sat = 4096
            p = int(rows[i + _FIRST])
            last = int(rows[i + _LAST])
            while p < last:
                v = int(parts[p + _HIGH])
                k = int(parts[p + _LOW])
                if v:
                    v = int(frame[v - 1]) << 8 | int(frame[k - 1]) if k else int(frame[v - 1]) * 257
                else:
                    v = 65535
                if kind == _EMITTERS:
                    if curve == 0:
                        v >>= 4
                    elif curve <= _STEEPEST:
                        k = (curve - 1) * _KNOTS + (v >> 11)
                        d = int(curves[k])
                        v = d + ((int(curves[k + 1]) - d) * (v & 2047) >> 11)
                    else:
                        v = int(_light(v, curve, curves, tables))
                    y += (int(parts[p + _Y]) - _BIAS) * v
                    u += (int(parts[p + _U]) - _BIAS) * v
                elif hue < 0:
                    hue = v * 6
                else:
                    sat = sat * (v + 1 >> 4) >> 12
                p += _PART
            y >>= 12
            u >>= 12
            if kind != _EMITTERS:
                # Red, green and blue are one wave, each a third of the circle after the one before.
                p = 0
                y = 0
                while p < 3:
                    k = hue >> 16
                    d = (hue & 65535) >> 4
                    if k == 0 or k == 5:
                        v = 4096
                    elif k == 1:
                        v = 4096 - d
                    elif k == 4:
                        v = d
                    else:
                        v = 0
                    v = 4096 - (sat * (4096 - v) >> 12)
                    if p == 0:
                        y = 871 * v
                        u = v
                    else:
                        y += (2929 if p == 1 else 296) * v
                        u -= v
                    hue -= 131072
                    if hue < 0:
                        hue += 393216
                    p += 1
                y >>= 12
        out[2 * r] = y * dim >> 12
        if u > 8191:
            u = 8191
        elif u < -8191:
            u = 0 - 8191
        u = u * dim >> 12
        if u > most:
            most = u
        out[2 * r + 1] = u + _BIAS
        r += 1
        i += _ROW
    return most


@micropython.viper
def shift(extremes: ptr16, new: ptr16, old: ptr16, n: int):  # noqa: F821
    """As flash_loops.shift."""
    n += n
    r = 0
    while r < n:
        extremes[r] = int(extremes[r]) + int(new[r]) - int(old[r])
        r += 1


@micropython.viper
def judge(rows: ptr16, want: ptr16, seen: ptr16, extremes: ptr16, ups: int, marks: ptr8, swings: ptr16, ways: ptr8, totals: ptr8, n: int, fixtures: int) -> int:  # noqa: F821, E501, C901
    """As flash_loops.judge."""
    found = 0
    s = fixtures
    least = _TENTH
    k = 0
    i = 2 * n
    while k < 2 * _SUMS:
        if k == _SUMS:
            s += fixtures + 1
            least = _RED
            i = 2 * n + 1
        if int(totals[s]) >= 4:
            d = int(seen[k]) - int(swings[i])
            if int(ways[s]) == 1:
                d = 0 - d
            if d > least:
                found = _OFTEN
        i += 2
        k += 1
    r = 0
    i = 0
    while r < n:
        marks[int(rows[i + _FIXTURE])] = found
        r += 1
        i += _ROW
    r = 0
    i = 0
    while r < n:
        mark = 0
        f = int(rows[i + _FIXTURE])
        y = int(want[2 * r])
        d = y - (int(extremes[2 * r]) - _BIAS)
        if ups & _LUMINANCE:
            d = 0 - d
        if d > int(rows[i + _LEAST]):
            mark = _LUMINANCE
        d = int(want[2 * r + 1]) - int(extremes[2 * r + 1])
        if ups & _REDNESS:
            d = 0 - d
        if ups & _OFTEN and d > _RED:
            mark |= _REDNESS
        if int(rows[i + _COUNTS]):
            least = _TENTH
            s = f
            k = 2 * r
            while s >= 0:
                if int(totals[s]) >= 4:
                    d = y - int(swings[k])
                    if int(ways[s]) == 1:
                        d = 0 - d
                    if d > least:
                        mark |= _OFTEN
                if s != f:
                    break
                s += fixtures + 1
                k += 1
                least = _RED
                y = int(want[k]) - _BIAS
                if y < 0:
                    y = 0
        if mark:
            marks[f] = int(marks[f]) | mark
            found |= mark
        r += 1
        i += _ROW
    return found


@micropython.viper
def settle(rows: ptr16, want: ptr16, shown: ptr16, extremes: ptr16, ups: int, turned: int, marks: ptr8, mask: int, n: int):  # noqa: F821, E501
    """As flash_loops.settle."""
    n += n
    r = 0
    i = 0
    while r < n:
        if not int(marks[int(rows[i + _FIXTURE])]) & mask:
            shown[r] = want[r]
        y = int(shown[r])
        which = _LUMINANCE
        if r & 1:
            which = _REDNESS
            i += _ROW
        else:
            y += _BIAS
        d = y - int(extremes[r])
        if not ups & which:
            d = 0 - d
        if turned & which or d > 0:
            extremes[r] = y
        r += 1


@micropython.viper
def choose(want: ptr8, held: ptr8, out: ptr8, spans: ptr16, marks: ptr8, mask: int, n: int) -> int:  # noqa: F821
    """As flash_loops.choose."""
    changed = 0
    f = 0
    while f < n:
        i = int(spans[2 * f])
        last = int(spans[2 * f + 1])
        refused = int(marks[f]) & mask
        while i <= last:
            v = int(held[i]) if refused else int(want[i])
            if int(out[i]) != v:
                out[i] = v
                changed = 1
            i += 1
        f += 1
    return changed


@micropython.viper
def add_up(rows: ptr16, shown: ptr16, seen: ptr16, n: int):  # noqa: F821
    """As flash_loops.add_up."""
    k = 0
    while k < _SUMS:
        y = 0
        u = 0
        lamps = 0
        r = 0
        i = _COUNTS
        while r < n:
            if int(rows[i]) >> k & 1:
                y += int(shown[2 * r])
                v = int(shown[2 * r + 1])
                if v > _BIAS:
                    u += v - _BIAS
                lamps += 1
            r += 1
            i += _ROW
        if lamps:
            seen[k] = y // lamps
            seen[_SUMS + k] = u // lamps
        k += 1


@micropython.viper
def count(rows: ptr16, shown: ptr16, seen: ptr16, swings: ptr16, ways: ptr8, totals: ptr8, columns: ptr8, at: int, n: int, fixtures: int):  # noqa: F821, E501, C901
    """As flash_loops.count."""
    last = 2 * (n + _SUMS)
    turned = 0
    again = 0
    while again < 2:
        k = 0
        i = 0
        while k < last:
            r = k >> 1
            red = k & 1
            s = fixtures
            v = -1
            if r >= n:
                v = int(seen[r - n + red * _SUMS])
            elif int(rows[i + _COUNTS]):
                s = int(rows[i + _FIXTURE])
                v = int(shown[k])
                if red:
                    v -= _BIAS
                    if v < 0:
                        v = 0
            if v >= 0:
                s += red * (fixtures + 1)
                way = int(ways[s])
                if again:
                    if way > 3:
                        swings[k] = v
                else:
                    d = v - int(swings[k])
                    up = 1
                    if d < 0:
                        d = 0 - d
                        up = 2
                    if way & 3 == up:
                        swings[k] = v
                    elif d > (_RED if red else _TENTH):
                        ways[s] = way | up << 2
                        turned = 1
            k += 1
            if red and r < n:
                i += _ROW
        if not turned:
            return
        again += 1
    s = 0
    last = 2 * fixtures + 2
    while s < last:
        way = int(ways[s])
        if way > 3:
            ways[s] = 1 if way & 4 else 2
            if int(totals[s]) < 250:
                totals[s] = int(totals[s]) + 1
                columns[at + s] = int(columns[at + s]) + 1
        s += 1


@micropython.viper
def advance(totals: ptr8, columns: ptr8, at: int, n: int):  # noqa: F821
    """As flash_loops.advance."""
    s = 0
    while s < n:
        totals[s] = int(totals[s]) - int(columns[at + s])
        columns[at + s] = 0
        s += 1


@micropython.viper
def judge_slots(want: ptr8, extremes: ptr8, free: ptr8, curves: ptr16, up: int) -> int:  # noqa: F821
    """As flash_loops.judge_slots."""
    i = 0
    while i < _SLOTS:
        if int(free[i]) and int(want[i]) != int(extremes[i]):
            d = int(_light(int(want[i]) * 257, _STEEPEST, curves, curves))
            d -= int(_light(int(extremes[i]) * 257, _STEEPEST, curves, curves))
            if up:
                d = 0 - d
            if d > _LITTLE:
                return 1
        i += 1
    return 0


@micropython.viper
def choose_slots(want: ptr8, out: ptr8, extremes: ptr8, free: ptr8, up: int, turned: int) -> int:  # noqa: F821
    """As flash_loops.choose_slots."""
    changed = 0
    i = 0
    while i < _SLOTS:
        if int(free[i]):
            v = int(want[i])
            d = v - int(extremes[i])
            if not up:
                d = 0 - d
            if turned or d > 0:
                extremes[i] = v
            if int(out[i]) != v:
                out[i] = v
                changed = 1
        i += 1
    return changed
