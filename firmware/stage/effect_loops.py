"""The integer loops of effects in plain Python: what effects make of levels.

Called by effects.py where effect_loops_viper.py, the same in native code, cannot be had; tests/vm/flash_loops_twins.py
holds the two equal. Nothing allocates on the chip. The arrays: patch_fields.py.
"""

from firmware.stage.flash_rows import AWAY
from firmware.stage.patch_fields import DARK, EXEMPT, FADE, LEVEL, MASTER, MODE, OUTPUT, SETUP, mul16


def begin(fades, levels, n):
    """levels: those of the look, of n fixtures."""
    for k in range(n):
        levels[k] = fades[k * FADE + LEVEL]


def mix(levels, lamps, values, runs, gain, adds, n):
    """Let an effect work on the levels of its n lamps. values: one for each of its runs, 0..65536."""
    for k in range(n):
        v, level = values[k % runs], levels[lamps[k]]
        if adds:
            level += mul16(65536 - level, mul16(gain, v))
        else:
            level -= mul16(level, mul16(gain, 65536 - v))
        levels[lamps[k]] = level


def hold(fades, kept, levels, n):
    """levels: the look's with what the effects did at last: kept - 65536."""
    for k in range(n):
        levels[k] = max(0, min(65536, fades[k * FADE + LEVEL] + kept[k] - 65536))


def put(common, fades, setups, acts, levels, n):
    """Send out the levels of the fixtures that have an effect on level (acts: 1), but for blackout, all at full, and
    what a solo leaves dark."""
    mode = common[MODE]
    if mode and mode < 3:
        return
    for k in range(n):
        free = setups[k * SETUP + EXEMPT]
        if acts[k] and (not mode or free < DARK):
            fades[k * FADE + OUTPUT] = levels[k] if free & 1 else mul16(levels[k], common[MASTER])


def away(fades, levels, kept, marks, n):
    """Mark those of the marked fixtures that go away from the look's light."""
    for k in range(n):
        if marks[k] and abs(levels[k] - fades[k * FADE + LEVEL]) >= abs(kept[k] - 65536):
            marks[k] |= AWAY


def keep(fades, levels, kept, marks, mask, n):
    """kept: what the effects do now, but for the fixtures that are refused: marked by a bit of the mask."""
    for k in range(n):
        if not marks[k] & mask:
            kept[k] = levels[k] - fades[k * FADE + LEVEL] + 65536
