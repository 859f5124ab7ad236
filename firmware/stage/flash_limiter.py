"""Keeps what goes by itself (effects; a capture that plays; the running order, which asks may_step) under three flashes
in any second. It judges the frame that is about to leave: the light that each lamp gives of it, by its measured dimming
curve or, without one, by the line, the square law 2.2 and the S alike. Called by effects.py and feed.py in the tick.

WCAG 2.2, success criterion 2.3.1: a general flash is a pair of opposing changes of 10 % or more of the most relative
luminance, where the darker is below 0.80; a red flash a pair of opposing changes from or to a saturated red, R / (R + G
+ B) of 0.8 or more, in which (R - G - B) x 320 changes by more than 20 (WCAG 2.0 and 2.1) or the colour by 0.2 in CIE
1976 u'v' (2.2, from memory); no more than three in any one second. Here, as soon as any lamp is red, every such change
of R - G - B of any lamp counts, white ones too, since they mix: a wide ring around both definitions.

Of all that effects do, all lamps have one direction at a time: while it is "up", each may fall by less than 10 % from
its highest since; while it is "down", each may rise by less than that. So no sum or mean of lamps, however weighted,
sees more of these changes than the direction has. The red has a direction of its own. The direction may turn while
fewer than four changes lie in the last second, of the direction, of any one lamp or of the sum, whoever made them; the
fourth is kept for the return to the light of the look. That is two flashes, so that two strokes of a hand (a cut, a
blackout) stay within three. A lamp that may not move holds what its effects did at last; the look under it moves on.

What a hand or a desk does is never held back: the look's own light goes on at once, and counts. A step of the running
order that comes by itself waits until it has room. That changes above 0.80 do not count is not made use of: mixed with
darker lamps they may. Lamps' lags and filaments are not made use of either.
"""

import gc
from array import array

from micropython import const

from firmware.parts import once
from firmware.stage import flash_rows as rows_

try:
    from firmware.stage.flash_loops_viper import (
        add_up,
        advance,
        choose,
        choose_slots,
        count,
        judge,
        judge_slots,
        settle,
        shift,
        signals,
    )
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr16
    from firmware.stage.flash_loops import (
        add_up,
        advance,
        choose,
        choose_slots,
        count,
        judge,
        judge_slots,
        settle,
        shift,
        signals,
    )

_MOST = const(4)  # changes in a second up to which a direction may turn
_ROOM = const(2)  # as many may there be where a step of the running order begins: a fade of colours turns several times
_TWO = const(3)  # luminance and red
_SLOTS_HELD = const(16)  # in `mask`: slots of no fixture are refused


class Limiter:
    """`on`: False lets all through and only counts. `marks`, `mask`: a fixture is held where its mark has a bit of the
    mask. `also`: another limiter whose changes count too, or None. `step_waits`: the running order waits to go on."""

    def __init__(self, stage, every_slot=False, built=None):
        """every_slot: judge slots too of which nothing is known, as a capture moves them. built: what flash_rows_build
        makes of the rig, where that is there already."""
        self.on = True
        self.also = None
        self.step_waits = False
        self._ups = 0
        self._column = 0
        self._since = 0  # ms: when the column began
        self.repatch(stage, every_slot, built)

    def repatch(self, stage, every_slot=False, built=None):
        """The rig changed. built: as above."""
        self._tables = stage.patch.tables
        gc.collect()  # what loading the code left lies between here and the room for the arrays
        self._rows, self._parts, self._laws, self._spans, self._free = built or once(
            "firmware.stage.flash_rows_build", "build", stage.show.rig, stage.patch, every_slot)
        self._n, self._lamp_count = len(self._rows) // rows_.ROW, len(self._spans) // 2
        self._light_on, self._light_asked = [array("H", bytes(4 * self._n)) for _ in range(2)]
        self._slots = bytearray(len(self._free)) if self._free else None  # their extremes
        self._extremes = array("H", [rows_.BIAS] * (2 * self._n))
        self._counts = 2 * self._lamp_count + 4
        self._seen = array("H", bytes(4 * rows_.SUMS))
        self._swings = array("H", bytes(4 * (self._n + rows_.SUMS)))
        self._ways = bytearray(self._counts)
        self.totals = bytearray(self._counts)
        self._columns = bytearray(self._counts * rows_.COLUMNS)
        self.marks = bytearray(self._lamp_count)
        self.mask = 0
        self._reddest = 0  # R - G - B of the reddest light that is shown
        self._fresh = True

    def changes(self):
        """How often the light of any one lamp, or of all, changed in the last second; two changes are a flash."""
        return max(self.totals)

    def may_step(self):
        """True where the running order may go on by itself; if not, effects leave it room until it has."""
        self.step_waits = self.on and self._most() > _ROOM
        return not self.step_waits

    def pass_on(self, held, want, out, now, effects=None):
        """Make the frame `out`, the one before, of two that could follow: with what goes by itself where it was (held),
        and where it is now (want). effects: knows which fixtures go away from their look, by mark_away; None: all do.
        -> True where a slot changed. Never allocates."""
        self._follow(now)
        rows, n = self._rows, self._n
        ups, turned = self._ups, 0
        self.mask = against = 0
        if self._fresh or held != out:
            self._reddest = signals(held, rows, self._parts, self._laws, self._tables, self._light_asked, n)
            if self._fresh:
                self._begin(held)
            shift(self._extremes, self._light_asked, self._light_on, n)
            shown = self._light_on
            self._light_on = self._light_asked
            self._light_asked = shown
        elif want == held:
            return False
        if want != held:
            reddest = signals(want, rows, self._parts, self._laws, self._tables, self._light_asked, n)
            if reddest > rows_.RED or self._reddest > rows_.RED:
                ups |= rows_.OFTEN
            else:
                turned = rows_.REDNESS  # no red can flash: it begins anew with what is shown
            if max(self.totals[self._lamp_count], self.totals[2 * self._lamp_count + 1]) >= _MOST:
                add_up(rows, self._light_asked, self._seen, n)
            found = judge(rows, self._light_asked, self._seen, self._extremes, ups, self.marks, self._swings,
                          self._ways, self.totals, n, self._lamp_count)
            if self._free:
                against = judge_slots(want, self._slots, self._free, self._laws, ups & rows_.LUMINANCE)
                found |= against
            if found:
                found = self._turn(found, effects)
                ups ^= found
                turned |= found
                self._ups = ups & _TWO
            # Where a lamp is held, what was shown is shown still.
            self._reddest = max(reddest, self._reddest) if self.mask else reddest
            settle(rows, self._light_asked, self._light_on, self._extremes, ups, turned, self.marks, self.mask, n)
        add_up(rows, self._light_on, self._seen, n)
        count(rows, self._light_on, self._seen, self._swings, self._ways, self.totals, self._columns,
              self._column * self._counts, n, self._lamp_count)
        changed = choose(want, held, out, self._spans, self.marks, self.mask, self._lamp_count)
        if self._free:
            refused = against & self.mask
            changed |= choose_slots(held if refused else want, out, self._slots, self._free, ups & rows_.LUMINANCE,
                                    turned & rows_.LUMINANCE)
            if refused:
                self.mask |= _SLOTS_HELD
        return changed > 0

    def accept(self, new, kept):
        """Of two packets of a capture: where what is new was let pass, it is kept."""
        choose(new, kept, kept, self._spans, self.marks, self.mask, self._lamp_count)
        if self._free and not self.mask & _SLOTS_HELD:
            choose_slots(new, kept, kept, self._free, 0, 1)

    def _begin(self, held):
        """What is on is where all begins."""
        want, shown, extremes = self._light_asked, self._light_on, self._extremes
        for r in range(2 * self._n):
            shown[r] = want[r]
            extremes[r] = want[r] + (0 if r & 1 else rows_.BIAS)
        n, seen, swings = self._n, self._seen, self._swings
        add_up(self._rows, want, seen, n)
        count(self._rows, want, seen, swings, self._ways, self.totals, self._columns, 0, n, self._lamp_count)
        if self._free:
            self._slots[:] = memoryview(held)[:len(self._slots)]
        for r in range(n):
            swings[2 * r], swings[2 * r + 1] = want[2 * r], max(0, want[2 * r + 1] - rows_.BIAS)
        for k in range(rows_.SUMS):
            swings[2 * (n + k)], swings[2 * (n + k) + 1] = seen[k], seen[rows_.SUMS + k]
        for s in range(2 * self._lamp_count + 2):
            self._ways[s] = self.totals[s] = self._columns[s] = 0
        self._fresh = False

    def _turn(self, found, effects):
        """Something moves against a direction -> the directions that turn; those that are not let have their bit in
        `mask`."""
        against = found & _TWO
        if self.on:
            self.mask = rows_.OFTEN
            most = self._most()
            if most >= _MOST:
                self.mask |= against
                return 0
            if most == _MOST - 1 or self.step_waits:
                if not effects:
                    self.mask |= against
                    return 0
                effects.mark_away(self.marks)
                if not self._returns():
                    self.mask |= against
                    return 0
                self.mask |= rows_.AWAY
        at = self._counts - 2
        for k in (0, 1):
            if against >> k & 1 and self.totals[at + k] < 250:
                self.totals[at + k] += 1
                self._columns[self._column * self._counts + at + k] += 1
        return against

    def _returns(self):
        """True where a marked fixture comes back to its look."""
        for mark in self.marks:  # noqa: SIM110  a generator would be on the heap
            if mark & _TWO and not mark & rows_.AWAY:
                return True
        return False

    def _most(self):
        most = max(self.totals)
        return max(most, max(self.also.totals)) if self.also else most

    def _follow(self, now):
        """Begin the columns of the counts that are due."""
        n = 0
        while now - self._since >= rows_.COLUMN_MS:
            self._since += rows_.COLUMN_MS
            n += 1
            if n > rows_.COLUMNS:
                self._since = now
            self._column = (self._column + 1) % rows_.COLUMNS
            advance(self.totals, self._columns, self._column * self._counts, self._counts)
