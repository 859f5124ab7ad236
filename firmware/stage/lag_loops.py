"""The loop of lags.py in plain Python; lag_loops_viper.py is the same in native code, and a test holds the two equal.
Nothing here allocates on the chip: all values are ints below 2**30, all stores are into arrays."""

from firmware.stage.lag_fields import GONE, LATE_GONE, LATE_LIGHT, LIGHT, ROW, SLOWEST
from firmware.stage.patch_fields import (
    CURVE,
    DONE,
    FADE,
    LENGTH,
    LEVEL,
    LEVEL_FROM,
    LEVEL_TO,
    OWN,
    SETUP,
    SLOWED,
    START,
    mul16,
)
from firmware.stage.tick_loops import share, soft


def follow(now, past, rows, fades, setups, tables, end):
    """Set level and place (LEVEL, DONE) of the fixtures that are slowed at time `now`, `past` ms (0..4095) after the
    last time. end: length of rows. One whose light has come to within 1/256 of the fade's end, or which has waited for
    eight times the slowest's lag, is there."""
    o = h = 0
    for k in range(0, end, ROW):
        slowest, curve = rows[k + SLOWEST], setups[h + CURVE]
        if slowest:
            if fades[o + LENGTH] and curve & SLOWED:
                _one(now, past, rows, fades, setups, tables, k, o, h)
            else:
                rows[k + SLOWEST] = 0
        o += FADE
        h += SETUP


def _one(now, past, rows, fades, setups, tables, k, o, h):
    slowest, curve, length, done = rows[k + SLOWEST], setups[h + CURVE], fades[o + LENGTH], now - fades[o + START]
    u = 65536 if done >= length else share(done, length) if done > 0 else 0
    light = fades[o + LEVEL_FROM] << 4
    light += mul16((fades[o + LEVEL_TO] << 4) - light, soft(tables, u) if curve & 1 else u)
    gone = mul16(light, u)
    # An exponential approach to what was on in the middle of the step.
    near = min(65536, (past << 16) // (slowest + (past >> 1)))
    late = rows[k + LATE_LIGHT]
    late += mul16((rows[k + LIGHT] + light >> 1) - late, near)
    late_gone = rows[k + LATE_GONE]
    late_gone += mul16((rows[k + GONE] + gone >> 1) - late_gone, near)
    rows[k + LIGHT], rows[k + GONE], rows[k + LATE_LIGHT], rows[k + LATE_GONE] = light, gone, late, late_gone
    own = curve // OWN << 2
    light = late + mul16(light - late, own)
    gone = late_gone + mul16(gone - late_gone, own)
    if light > 0:
        place = (gone << 8) // light
        u = (place << 8) + ((gone << 8) - place * light << 8) // light
    to = fades[o + LEVEL_TO]
    away = light - (to << 4)
    if done >= length and (abs(away) < (to >> 4) + 256 and u > 65280 or done - length > slowest << 3):
        fades[o + DONE] = 65536
        fades[o + LENGTH] = rows[k + SLOWEST] = 0
        fades[o + LEVEL] = to
        setups[h + CURVE] = curve & 1
    else:
        fades[o + DONE] = max(fades[o + DONE], min(u, 65535))
        fades[o + LEVEL] = light + 8 >> 4
