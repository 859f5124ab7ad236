"""The log of faults on flash: the last 50, for the Settings pages and the host. Called by the app, and by main after a
crash.

faults.log holds one sealed JSON object (file_format.py) a line: {"at": seconds since power-up, "what", "where"}. After
50 lines it becomes faults.old and a new one begins, so that adding a line never writes the others again.
"""

from firmware.show import file_format
from firmware.show.file_format import seal, unseal

MOST = 50
PATH = "faults.log"
OLD = "faults.old"
_TEXT_MOST = 120  # letters of what and of where
_REPEAT_MS = 60000  # the same fault again within this time is not logged again


class FaultLog:
    """The log of one device."""

    def __init__(self, disk):
        self._disk = disk
        self._count = -1  # lines in faults.log; -1: not counted yet
        self._last = None  # (what, where) of the last fault, and when it came
        self._last_ms = 0
        self.moved_s = 0  # seconds by which the device's time was moved back (app_time.py)

    def add(self, now, what, where=""):
        """Log a fault -> True; False where it was logged within the last minute, or the disk cannot take it.

        now: ms of the clock; what: the words on the screen; where: the part or file that it came from.
        """
        if (what, where) == self._last and now - self._last_ms < _REPEAT_MS:
            return False
        self._last, self._last_ms = (what, where), now
        line = seal({"at": self.seconds(now), "what": what[:_TEXT_MOST], "where": where[:_TEXT_MOST]},
                    file_format.SCHEMA)
        line.extend(b"\n")
        try:
            if self._count < 0:
                self._begin()
            if self._count >= MOST:
                self._disk.rename(PATH, OLD)
                self._count = 0
            self._disk.append(PATH, line)
            self._count += 1
            return True
        except OSError:
            self._count = -1
            return False

    def seconds(self, now):
        """Seconds since power-up. now: ms of the clock."""
        return self.moved_s + now // 1000

    def entries(self):
        """[(seconds since power-up, what, where)] of the last 50, the newest first."""
        found = []
        for path in (PATH, OLD):
            for line in reversed(_lines(self._disk, path)):
                entry, _why = unseal(line)
                if entry and len(found) < MOST and isinstance(entry.get("at"), int):
                    found.append((entry["at"], str(entry.get("what", "")), str(entry.get("where", ""))))
        return found

    def _begin(self):
        """Count the lines of the log, and end one that a power cut left torn."""
        lines = _lines(self._disk, PATH)
        if lines[-1]:
            self._disk.append(PATH, b"\n")
        self._count = len(lines) - 1


def _lines(disk, path):
    """The lines of a log. The last is empty where the one before it is whole."""
    try:
        return disk.read(path).split(b"\n")
    except OSError:
        return [b""]
