"""Says when the stage's state is written to flash, within 5 s of a change. Made and stepped by the app; state_record.py
writes it, state_format.py says what is kept, state_read.py reads it at power-up.
"""

from binascii import crc32

from micropython import const

from firmware.parts import Part

_QUIET_MS = const(600)  # written when nothing changed for so long,
_LATEST_MS = const(3500)  # or at the latest so long after a change
_NEVER = const(-1)
_MOST_BROKEN = const(1)  # record broken off; the next is made in one step, however long that takes


class StateWriter:
    """Writes the state of one stage. `faults`: why it could not be written or read, in words. What is not private is
    for state_record.py and for state_read.py, which sets it to what lies on flash."""

    def __init__(self, disk, stage, faults=None):
        self.faults = [] if faults is None else faults
        self.disk = disk
        self.stage = stage
        self.show_crc = crc32(stage.show.folder.encode())
        self.base = self.number = 0  # the numbers last written, of a base and of a step
        self.base_crc = 0
        self.since = None  # uids changed since the base; None: a base is due
        self.moving = False  # a fade was under way at the last write
        self._rig = stage.show.rig.changes  # of the rig that the last base is of
        self.seen = self.settings()
        self.first = self.last = _NEVER  # ms of the first and last change that is not written yet
        self.wait = 0  # ms: not before this time
        self._part = self._job = None  # state_record.py, and what writes a record
        self.broken = 0  # records broken off since the last that was written

    def settings(self):
        """What is kept beside the light, to be compared."""
        stage = self.stage
        return stage.master_units, stage.blackout, stage.paused, stage.look_number, stage.edited

    # Machine code on the chips.
    def step(self, now, may_write=True):
        """Note what changed, and write it when it is due. Blocks for a flash write, in quiet moments if there are any.
        may_write: False while somebody turns the knob."""
        stage = self.stage
        if stage.show.rig.changes != self._rig:
            self._rig, self.since = stage.show.rig.changes, None
            if self.base:  # what is kept is of the rig before; where nothing is, another show's light stays
                self.first = self.last = now
        elif stage.touched or self._settings_changed():
            if self.since is not None:
                self.since |= stage.touched
            stage.touched.clear()
            self.seen = self.settings()
            self.last = now
            if self.first < 0:
                self.first = now
        elif self.first < 0 and self.moving and not self._job:
            self.first, self.last = now, now + _LATEST_MS  # how far a fade is
        if self._job:
            self._go_on()
        elif may_write and self.first >= 0 and now >= self.wait and self._is_due(now):
            self._begin(now, self.broken >= _MOST_BROKEN)

    def flush(self, now):
        """Write what changed without waiting: the app is being stopped."""
        if self._job or self.first >= 0:
            self._begin(now, True)
            self._go_on()

    def _is_due(self, now):
        """True in a quiet moment, or where there has been none for long. A fade is none: writing flash would hold it
        up."""
        if now - self.first >= _LATEST_MS:
            return True
        if now - self.last < _QUIET_MS:
            return False
        if self.stage.left() and not self.stage.paused:
            self.last = now
            return False
        return True

    def _begin(self, now, at_once):
        self.close()
        self._part = Part("firmware.stage.state_record")
        self._job = self._part.make("write", self, now, at_once)

    def _go_on(self):
        """One fixture more. Errors: MemoryError: it is begun anew."""
        first, goes_on = self.first, False
        try:
            next(self._job)
            goes_on = True
        except StopIteration:
            pass
        except MemoryError:
            self.first = self.last = max(0, first)
            raise
        finally:
            if not goes_on:
                self.close()

    def close(self):
        """Break off what is being written."""
        self._job = None
        if self._part:
            self._part.close()
            self._part = None

    # Machine code on the chips.
    def _settings_changed(self):
        """As comparing with settings(), but without a tuple at each step."""
        stage = self.stage
        seen = self.seen
        return (stage.master_units != seen[0] or stage.blackout != seen[1] or stage.paused != seen[2]
                or stage.look_number != seen[3] or stage.edited != seen[4])
