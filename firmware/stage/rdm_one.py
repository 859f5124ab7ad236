"""One lamp that is asked over the line: what it says of itself, and what is written to it. Used by its page; loaded and
dropped with it."""

from firmware.wire import rdm, rdm_pids

_TEXTS = ((rdm_pids.LABEL, "Label"), (rdm_pids.MODEL, "Model"), (rdm_pids.MAKER, "Maker"),
          (rdm_pids.SOFTWARE_LABEL, "Software"))
_HOURS = ((rdm_pids.LAMP_HOURS, "Lamp hours"), (rdm_pids.DEVICE_HOURS, "Device hours"))
_SENSORS_MOST = 12
# Status types: ANSI E1.20, table of status types (from memory).
_STATUS = {2: "advice", 3: "warning", 4: "error"}


class One:
    """`address` (0: none), `mode`, `modes`, `slots`, `mode_names`: as it says; `news`: words for the user, `failed`
    where they tell of a failure; `changes`: counts what is to be drawn anew."""

    def __init__(self, link, uid):
        self.link, self.uid = link, uid
        self.address = self.mode = self.modes = self.slots = self.changes = 0
        self.mode_names = {}
        self.news = ""
        self.failed = False
        self._said = {}  # label: words
        self._order = []  # labels
        self._sensors = []  # definitions

    def rows(self):
        """(label, words) of all that it said, in order; its UID at the end."""
        return [(label, self._said[label]) for label in self._order] + [("UID", rdm.uid_words(self.uid))]

    # --- conversations ---

    def read(self):
        """Read all that it says of itself."""
        count = yield from self._read_info()
        if count is None:
            self._tell("It does not answer: " + self.link.talk.why, True)
            return
        yield from self.read_mode(self.mode)
        for pid, label in _TEXTS:
            said = yield from self.link.talk.get(self.uid, pid)
            if said:
                self._say(label, rdm_pids.text(said))
        for number in range(min(count, _SENSORS_MOST)):
            said = yield from self.link.talk.get(self.uid, rdm_pids.SENSOR_DEFINITION, bytes((number,)))
            if said:
                self._sensors.append(said)
        yield from self.read_moving()

    def read_mode(self, mode):
        """Read the name of a personality."""
        said = yield from self.link.talk.get(self.uid, rdm_pids.PERSONALITY_TEXT, bytes((mode,)))
        self.mode_names[mode] = rdm_pids.text(said[3:]) if said and len(said) > 3 else ""
        self.changes += 1

    def read_moving(self):
        """Read what moves by itself: hours, sensors, messages about faults."""
        talk = self.link.talk
        for pid, label in _HOURS:
            said = yield from talk.get(self.uid, pid)
            hours = rdm_pids.number32(said) if said else -1
            if 0 <= hours < rdm_pids.NO_HOURS:
                self._say(label, "%d h" % hours)
        for definition in self._sensors:
            said = yield from talk.get(self.uid, rdm_pids.SENSOR_VALUE, definition[:1])
            try:
                if said:
                    self._say(*rdm_pids.sensor(definition, said))
            except ValueError as e:
                self._say("Sensor", str(e))
        said = yield from talk.get(self.uid, rdm_pids.STATUS_MESSAGES, b"\x02")  # STATUS_ADVISORY and worse
        if said is not None:
            self._say("Faults", _faults(said))

    def write(self, address, value):
        """Write the address, else the personality, and read it back: only that counts."""
        pid = rdm_pids.START_ADDRESS if address else rdm_pids.PERSONALITY
        data = bytes((value >> 8, value & 255)) if address else bytes((value,))
        said = yield from self.link.talk.set(self.uid, pid, data)
        why = self.link.talk.why if said is None else ""
        yield from self._read_info()
        now = self.address if address else self.mode
        what = "address" if address else "personality"
        if now == value:
            self._tell("Written and read back: %s %d" % (what, value), False)
        else:
            self._tell("Not done: " + (why or "it says %s %d" % (what, now)), True)

    # --- inside ---

    def _read_info(self):
        """-> how many sensors it has, or None: no answer."""
        said = yield from self.link.talk.get(self.uid, rdm_pids.DEVICE_INFO)
        if said is None:
            return None
        try:
            _model, self.slots, self.mode, self.modes, self.address, count = rdm_pids.info(said)
        except ValueError as e:
            self.link.talk.why = str(e)
            return None
        self.changes += 1
        return count

    def _say(self, label, words):
        if label not in self._said:
            self._order.append(label)
        if self._said.get(label) != words:
            self._said[label] = words
            self.changes += 1

    def _tell(self, words, failed):
        self.news, self.failed = words, failed
        self.changes += 1


def _faults(data):
    """STATUS_MESSAGES in words: nine bytes each, the second half word a number that means something to the maker."""
    found = [(data[n + 2], rdm.word(data, n + 3)) for n in range(0, len(data) - 8, 9)]
    return ", ".join(["%s %d" % (_STATUS.get(kind & 15, "cleared"), number) for kind, number in found]) or "none"
