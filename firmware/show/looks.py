"""Named light, in a log that is only appended to. Memory holds the names and where each look lies; the light itself
stays in flash until it is asked for.

The form of the log is in look_record.py. Saving a look is one append; what a look replaced stays behind as its last
good copy, until looks_compact.py clears the oldest part of the log in idle moments. A show of before the log has a file
a look, which looks_older.py reads and takes into the log.

A look maps the uids of fixtures to lights (fixture_light.py). Under 0, which is no fixture's, it may hold slots of
nobody, raw: runs [first slot, counted from 1, value 0..255, value ...] of those that are not 0. Such a look is made
from a feed.
"""

from array import array

from micropython import const

from firmware.parts import once
from firmware.show import file_disk, look_record

_SLACK = const(8192)  # bytes of replaced records that are left alone in any case


class Looks:
    """The looks of one show, in the user's order. `faults`: damage found, in words; `lines`: the names as
    bytes. What finds them on flash is in looks_list.py, what changes them in looks_store.py and looks_edit.py; all are
    loaded for each call."""

    def __init__(self, disk, folder, faults=None):
        self.faults = [] if faults is None else faults
        self.disk = disk
        self.folder = folder + "/looks"
        self.ids = array("H")  # their numbers, in order
        self.places = array("H")  # where each lies in the log: look_record.PART_WORDS
        self.lines = b"\n"  # all names in order, a line end behind each: as strings they would take three times that
        self._asked, self._name = 0, ""  # the last answer of name_of, which pages ask in each row
        self._proved = 0
        self.highest = 0  # the highest number that was ever given
        self.parts = array("H")  # numbers of the log's files, the oldest first
        self.end = 0  # bytes of the newest part; PART_BYTES: nothing more may be added to it
        self.total = self.live = 0  # bytes of all parts; of the records that count
        self.ordered = -1  # which part has the newest ORDER, -1: none
        self.spoilt = 0  # bit n: part n holds damage
        self.clearing = False  # looks_compact.py is at work
        self.older = False  # there are files of before the log
        self.locked = ""  # why nothing may be written here, in words

    def __len__(self):
        return len(self.ids)

    def names(self):
        """Names in order: list of str."""
        return str(self.lines, "utf-8")[1:-1].split("\n") if len(self.ids) else []

    def take(self, ids, names, places):
        """Hold another order: numbers, names, places in the log."""
        self.ids, self.places = array("H", ids), array("H", places)
        self.lines = ("\n" + "".join([name.replace("\n", " ") + "\n" for name in names])).encode()
        self._asked = 0

    def index(self, name):
        """Place of a look in the order. Errors: ValueError."""
        at = self._find(name)
        if at < 0:
            raise ValueError("No look called %s" % name)
        return self.lines.count(b"\n", 0, at)

    def has(self, name):
        """True where there is a look of that name. One that turns out to be damaged goes while its page is open."""
        return self._find(name) >= 0

    def _find(self, name):
        return self.lines.find(("\n" + name + "\n").encode()) if name else -1

    def number(self, name):
        """What a look keeps when it is renamed or moved: 1 and up. Errors: ValueError."""
        return self.ids[self.index(name)]

    # Machine code on the chips.
    def name_of(self, number):
        """The name of the look of that number, "" where there is none."""
        if number != self._asked:
            self._asked, self._name = number, ""
            names = self.lines  # bytes, since in a str to find one place is to walk there from the beginning
            at = 1
            for ident in self.ids:
                end = names.find(b"\n", at)
                if ident == number:
                    self._name = str(names[at:end], "utf-8")
                    break
                at = end + 1
        return self._name

    def prove(self):
        """One small step for an idle moment: take an older file into the log; read one look after another, so that
        damage is found before it is needed; clear the log of what was replaced. False: there is nothing to do."""
        if self.older and once("firmware.show.looks_older", "step", self):
            return True
        if self._proved < len(self.ids):
            self._proved += 1
            if self.record(self._proved - 1) is None:
                self._proved -= 1  # the next has come to its place
            return True
        if self.spoilt or self.clearing or self.total - self.live > _SLACK:
            return once("firmware.show.looks_compact", "step", self)
        return False

    def recall(self, name):
        """({uid: light}, fade) of a look; fade: ms, + look_record.SOFT. Errors: ValueError: not there, damaged, or
        flash does not give it."""
        try:
            found = self.record(self.index(name))
        except OSError as error:
            raise ValueError(name + " " + file_disk.UNREAD % error.errno) from None
        if found is None:
            raise ValueError("%s is damaged and has no good copy" % name)
        head, content = found
        return look_record.lights(content, head[look_record.H_NAME]), head[look_record.H_FADE]

    def record(self, at):
        """(head, content) of the look at a place in the order; damage goes to the faults, and the last good copy takes
        its place. None: there is none, and the look is no longer in the order. Errors: OSError: flash does not give it.
        """
        place = self.places[at]
        if place == look_record.OLDER:
            return once("firmware.show.looks_older", "record", self, at)
        return (look_record.read(self.disk, *self.where(place))
                or once("firmware.show.looks_repair", "record", self, at))

    def where(self, place):
        """(path of a part, first byte) of the record that lies at a place."""
        part, word = divmod(place, look_record.PART_WORDS)
        return self.path(self.parts[part]), 4 * word

    def path(self, part):
        """A part's file."""
        return "%s/%d.log" % (self.folder, part)

    def load(self):
        """As looks_list.load."""
        once("firmware.show.looks_list", "load", self)

    def store(self, name, lights, fade_ms=2000):
        """As looks_store.store."""
        return once("firmware.show.looks_store", "store", self, name, lights, fade_ms)
