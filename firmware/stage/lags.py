"""Lets the lamps of a fade wait for the slowest of them. Loaded by the stage for a rig in which a lamp has a lag.

A lamp that is late by its lag follows what it is told as 1 - exp(-t / lag) (trims.py; common practice). Starting it
early would make it too bright where the fade begins, and no drive makes it go out faster than it does. So in a fade
every other lamp is told what leaves it where the slowest is: the fade as it is, and the same as late as the slowest
lamp's light, in shares of lag / slowest and the rest. A lamp with half the slowest's lag turns that into what the
slowest makes of the fade itself. It holds for level and for colour, which counts by the light that it was given with.
"""

from array import array

from micropython import const

from firmware.stage import lag_fields as rows
from firmware.stage import patch_fields as fields

try:
    from firmware.stage.lag_loops_viper import follow
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr32
    from firmware.stage.lag_loops import follow

_SMOOTH_MS = const(300)
_MOST_MS = const(4095)  # in one step: more would not fit into 30 bits


class Lags:
    """What a rig's lamps are behind in their fades. rows: lag_fields.py."""

    def __init__(self, count):
        self.rows = array("i", bytes(4 * rows.ROW * count))

    def slowest(self, rig, lights, length):
        """The lag at which all fixtures that `lights` has go in a fade of `length`; both ms. It is that of the slowest,
        or a little more: a quick lamp goes up and down by the steps of the line's frames, which a slow one smooths."""
        return max([f.trims.get("lag", 0) for f in rig.fixtures if f.uid in lights] + [min(_SMOOTH_MS, length // 10)])

    def wait(self, patch, i, lag, slowest, curve):
        """Fixture i, which is about to be sent to other light, shall go there as late as a lamp with the lag of the
        slowest; both ms. -> its CURVE. One that is on its way already stays as far behind."""
        if lag == slowest:
            return curve
        at, k, o, fades = self.rows, i * rows.ROW, i * fields.FADE, patch.fades
        on_its_way = fades[o + fields.DONE] != fields.ONE
        if on_its_way and patch.setups[i * fields.SETUP + fields.CURVE] & fields.SLOWED and at[k] == slowest:
            fades[o + fields.LEVEL_FROM] = at[k + rows.LIGHT] >> 4
        else:
            at[k + rows.SLOWEST] = slowest
            level = fades[o + (fields.LEVEL_FROM if on_its_way else fields.LEVEL_TO)]
            at[k + rows.LIGHT] = at[k + rows.LATE_LIGHT] = level << 4
        at[k + rows.GONE] = at[k + rows.LATE_GONE] = 0
        return curve + fields.SLOWED + (lag << 14) // slowest * fields.OWN

    def step(self, patch, now, past):
        """Bring the fixtures that are slowed to `now`, `past` ms after the last step. Before `move`."""
        follow(now, max(0, min(_MOST_MS, past)), self.rows, patch.fades, patch.setups, patch.tables, len(self.rows))
