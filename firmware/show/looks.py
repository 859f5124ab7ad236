"""Named light, kept one file a look. Memory holds the names; the light itself stays in flash until asked for.

order.json holds [number, name] of each look in order, so that a start reads one file for all; the looks' files are
what counts: one that the order does not know goes to its end, a number without its file is dropped.

A look maps the uids of fixtures to lights (fixture_light.py). Under 0, which is no fixture's, it may hold slots of
nobody, raw: runs [first slot, counted from 1, value 0..255, value ...] of those that are not 0 (in the file: "raw").
Such a look is made from a feed.
"""

from array import array

from firmware.parts import once
from firmware.show import file_store


class Looks:
    """The looks of one show, in the user's order. `faults`: damage found, in words. What finds them on flash is in
    looks_list.py, what changes them in looks_edit.py; both are loaded for each call."""

    def __init__(self, disk, folder, faults=None):
        self.faults = [] if faults is None else faults
        self.disk = disk
        self.folder = folder + "/looks"
        self.order_path = folder + "/order.json"
        self.ids = array("H")  # their numbers, in order
        self._names = "\n"  # all names in order, a line end behind each: as strings they would take three times that
        self._proved = 0
        self.highest = 0  # the highest number that is or was in the order

    def __len__(self):
        return len(self.ids)

    def names(self):
        """Names in order: list of str."""
        return self._names[1:-1].split("\n") if len(self.ids) else []

    def take(self, ids, names):
        """Hold another order: numbers and names."""
        self.ids = array("H", ids)
        self._names = "\n" + "".join([name.replace("\n", " ") + "\n" for name in names])

    def index(self, name):
        """Place of a look in the order. Errors: ValueError."""
        at = self._names.find("\n" + name + "\n")
        if at < 0 or not name:
            raise ValueError("No look called %s" % name)
        return self._names.count("\n", 0, at)

    def number(self, name):
        """What a look keeps when it is renamed or moved: 1 and up. Errors: ValueError."""
        return self.ids[self.index(name)]

    def name_of(self, number):
        """The name of the look of that number, "" where there is none."""
        at = 1
        for ident in self.ids:
            end = self._names.find("\n", at)
            if ident == number:
                return self._names[at:end]
            at = end + 1
        return ""

    def prove(self):
        """Read one look after another, one a call, so that damage is found before it is needed. False: all are
        read."""
        if self._proved >= len(self.ids):
            return False
        self.read_file(self.path(self.ids[self._proved]))
        self._proved += 1
        return True

    def recall(self, name):
        """({uid: light}, fade_ms) of a look. Errors: ValueError: not there or damaged."""
        data = self.read_file(self.path(self.ids[self.index(name)]))
        if data is None:
            raise ValueError("%s is damaged and has no good copy" % name)
        lights = {item[0]: item[1:] for item in data["lights"]}
        if "raw" in data:
            lights[0] = data["raw"]
        return lights, data["fade_ms"]

    def read_file(self, path):
        """The content of a file, or None; damage goes to the faults."""
        data, fault = file_store.load(self.disk, path)
        if fault:
            self.faults.append(fault)
        return data

    def path(self, ident):
        """A look's file."""
        return "%s/%d.json" % (self.folder, ident)

    def load(self):
        """As looks_list.load."""
        once("firmware.show.looks_list", "load", self)

    def store(self, name, lights, fade_ms=2000):
        """As looks_edit.store."""
        return once("firmware.show.looks_edit", "store", self, name, lights, fade_ms)
