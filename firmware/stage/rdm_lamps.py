"""What is said to lamps that are asked over the line, and what becomes of it in the rig: they are found, taken into the
rig, and set as the rig has them. Used by the page that finds lamps; loaded and dropped with it.

A lamp belongs to the fixture that has its UID among its trims: "rdm", the UID as text and the number of its personality
there.
"""

from firmware.parts import once
from firmware.show import rig_edit
from firmware.show.address import start
from firmware.wire import rdm, rdm_pids
from firmware.wire.rdm_search import Search

_GAP_SEARCHING_US, _GAP_US = 34_000, 50_000  # from one DMX512 packet to the next: lights follow without a jerk
MOST = 64  # lamps of which more is kept than that they are there: as many as a rig has fixtures


class Lamp:
    """One that was found. `address` 0: it has none; `slots`: of its present personality `mode`, of `modes`; `name`: its
    label, else its model; `fixture`: of the rig, or None; `fault`: words, or ""."""

    def __init__(self, uid):
        self.uid = uid
        self.model = self.slots = self.mode = self.modes = self.address = self.sensors = 0
        self.name = rdm.uid_words(uid)
        self.fixture = None
        self.fault = ""

    def agrees(self):
        """True where the lamp is set as its fixture is patched."""
        f = self.fixture
        return f is not None and self.address == start(f.address) and self.slots == f.personality.slots


class Lamps:
    """The lamps on the line. `found`: list of Lamp, by UID; `more`: how many were found beyond MOST; `searching`;
    `news`: words for the user, until they are taken; `search`: the wire's, once it was begun."""

    def __init__(self, link, show):
        self.link, self.show = link, show
        self.found = []
        self.more = 0
        self.searching = False
        self.search = None
        self.news = ""
        self.changes = 0  # counts what is to be drawn anew
        self._shines = 0  # UID of the lamp that identifies itself

    # --- conversations ---

    def find(self):
        """Find all lamps. The search begins anew."""
        talk = self.link.talk
        self.found, self.more, self.searching = [], 0, True
        self.search = Search(talk, self.read)
        talk.gap_us = _GAP_SEARCHING_US
        yield from self.search.run()
        talk.gap_us = _GAP_US
        self.searching = False
        self.news = self._found_words()
        self.changes += 1

    def read(self, uid):
        """Read what one says of itself."""
        if len(self.found) >= MOST:
            self.more += 1
            return
        lamp = Lamp(uid)
        self.found.insert(len([other for other in self.found if other.uid < uid]), lamp)
        yield from self._read_info(lamp)
        talk = self.link.talk
        for pid in (rdm_pids.LABEL, rdm_pids.MODEL):
            said = yield from talk.get(uid, pid)
            words = rdm_pids.text(said) if said else ""
            if words:
                lamp.name = words
                break
        lamp.fixture = self._fixture_of(lamp)
        self.changes += 1

    def take(self):
        """Take all lamps into the rig that are not in it."""
        taken = 0
        for lamp in [lamp for lamp in self.found if lamp.fixture is None and lamp.slots]:
            lamp.fixture = self._alike(lamp)
            try:
                if lamp.fixture is None:
                    p = yield from self._personality(lamp)
                    lamp.fixture = self._add(lamp, p)
                rig_edit.trim(self.show.rig, lamp.fixture, rdm=[rdm.uid_words(lamp.uid), max(1, lamp.mode)])
                taken += 1
            except ValueError as e:
                lamp.fault = str(e)
            self.changes += 1
        self.show.save_rig()
        self.news = "%d lamp%s taken into the rig" % (taken, "" if taken == 1 else "s")
        self.changes += 1

    def set_all(self):
        """Set personality and address of all lamps as the rig has them, read both back, and tick those that agree."""
        done, lamps = 0, [lamp for lamp in self.found if lamp.fixture]
        for lamp in lamps:
            yield from self.set_one(lamp)
            rig_edit.tick(self.show.rig, lamp.fixture, lamp.agrees())
            done += lamp.agrees()
            self.changes += 1
        self.show.save_rig()
        self.news = "%d of %d set and read back" % (done, len(lamps))
        self.changes += 1

    def set_one(self, lamp):
        """Set one lamp as its fixture is patched; what it then says is in `lamp`, why it does not in lamp.fault."""
        f, talk = lamp.fixture, self.link.talk
        lamp.fault = ""
        if not lamp.agrees():
            mode = yield from self._mode_for(lamp)
            if mode and mode != lamp.mode:
                said = yield from talk.set(lamp.uid, rdm_pids.PERSONALITY, bytes((mode,)))
                lamp.fault = "Personality: " + talk.why if said is None else ""
            at = start(f.address)
            said = yield from talk.set(lamp.uid, rdm_pids.START_ADDRESS, bytes((at >> 8, at & 255)))
            if said is None:
                lamp.fault = "Address: " + talk.why
            yield from self._read_info(lamp)
        if not lamp.agrees() and not lamp.fault:
            lamp.fault = "It says %d, %d slots" % (lamp.address, lamp.slots)

    def shine(self, lamp):
        """Let one lamp identify itself, and no other; None: none."""
        uid, was = lamp.uid if lamp else 0, self._shines
        self._shines = uid
        if was and was != uid:
            yield from self.link.talk.set(was, rdm_pids.IDENTIFY, b"\0")
        if uid and was != uid:
            yield from self.link.talk.set(uid, rdm_pids.IDENTIFY, b"\1")

    def close(self):
        """Let the line go; a lamp that identifies itself is told to stop."""
        last = None
        if self._shines:
            last = rdm.request(self._shines, self.link.talk.next_number(), rdm.SET, rdm_pids.IDENTIFY, b"\0")
            self._shines = 0
        self.link.close(last)

    # --- inside ---

    def _read_info(self, lamp):
        said = yield from self.link.talk.get(lamp.uid, rdm_pids.DEVICE_INFO)
        try:
            if said is None:
                raise ValueError(self.link.talk.why)
            lamp.model, lamp.slots, lamp.mode, lamp.modes, lamp.address, lamp.sensors = rdm_pids.info(said)
        except ValueError as e:
            lamp.fault = "No answer: %s" % e

    def _mode_for(self, lamp):
        """The number of a personality that has as many slots as the fixture: the one that it was taken with, else the
        present one, else the first; 0: there is none."""
        wanted = lamp.fixture.personality.slots
        first = lamp.fixture.trims["rdm"][1] if "rdm" in lamp.fixture.trims else lamp.mode
        for mode in [first, lamp.mode] + list(range(1, lamp.modes + 1)):
            if mode == lamp.mode:
                slots = lamp.slots
            else:
                said = yield from self.link.talk.get(lamp.uid, rdm_pids.PERSONALITY_TEXT, bytes((mode,)))
                slots = rdm.word(said, 1) if said and len(said) > 2 else 0
            if slots == wanted:
                return mode
        return 0

    def _personality(self, lamp):
        """The Personality that fits a lamp."""
        said = yield from self.link.talk.get(lamp.uid, rdm_pids.SLOT_INFO)
        slots = rdm_pids.slots(said) if said else []
        texts = {}
        for slot in [slot for slot, kind, label in slots if kind == 0 and label == rdm_pids.NO_LABEL]:
            said = yield from self.link.talk.get(lamp.uid, rdm_pids.SLOT_TEXT, bytes((slot >> 8, slot & 255)))
            if said:
                texts[slot] = rdm_pids.text(said[2:])
        ident = "rdm%04X%04X-%d" % (lamp.uid >> 32, lamp.model, lamp.mode)
        if ident in self.show.rig.library:
            return self.show.rig.library[ident]
        return once("firmware.show.personality_found", "personality", ident, lamp.name, lamp.slots, slots, texts)

    def _add(self, lamp, p):
        """Patch a lamp -> Fixture: at its own address where that is free."""
        rig = self.show.rig
        name = rig_edit.free_name(rig, lamp.name)
        try:
            return rig.add(p, name, lamp.address or None)
        except ValueError:
            return rig.add(p, name)

    def _fixture_of(self, lamp):
        """The fixture that a lamp was taken into the rig as, or None."""
        words = rdm.uid_words(lamp.uid)
        for f in self.show.rig.fixtures:
            if f.trims.get("rdm", (0,))[0] == words:
                return f
        return None

    def _alike(self, lamp):
        """A fixture that stands in the rig for no lamp yet: by its name, else by its address and slots; or None."""
        for f in self.show.rig.fixtures:
            if "rdm" not in f.trims and f.name == lamp.name:
                return f
        for f in self.show.rig.fixtures:
            if "rdm" not in f.trims and f.address == lamp.address and f.personality.slots == lamp.slots:
                return f
        return None

    def _found_words(self):
        search, count = self.search, len(self.found) + self.more
        words = "%d lamp%s found" % (count, "" if count == 1 else "s")
        if search.stopped:
            return words + ", then " + search.stopped
        if search.garbled:
            return words + ". Two have the UID " + rdm.uid_words(search.garbled[0])
        if search.unruly:
            return words + ", %d of them ignore a mute" % len(search.unruly)
        return words

    def clash(self, lamp):
        """Another lamp with some of the same slots as this one, or None."""
        for other in self.found:
            if (other is not lamp and lamp.address and other.address and other.address < lamp.address + lamp.slots
                    and lamp.address < other.address + other.slots):
                return other
        return None
