"""Named light, kept one file a look. Memory holds the names; the light itself stays in flash until asked for.

order.json holds [number, name] of each look in order, so that a start reads one file for all; the looks' files are
what counts: one that the order does not know goes to its end, a number without its file is dropped.

The light of one fixture is a list [level, cct, duv, hue, sat, mix] of ints (units: personality.SCALE), followed
by a dict of its raw channels (name -> 0..65535). A look maps fixture uids to such lists. Under 0, which is no
fixture's, it may hold slots of nobody, raw: runs [first slot 1..512, value 0..255, value ...] of those that are not 0
(in the file: "raw"). Such a look is made from a feed.
"""

from firmware.show import keep
from firmware.show.canon import unseal

MOST = 200
NAME_MOST = 24


class Looks:
    """The looks of one show, in the user's order. `turn` counts changes; `faults`: damage found, in words."""

    def __init__(self, disk, folder, faults=None):
        self.faults = [] if faults is None else faults
        self._disk = disk
        self._folder = folder + "/looks"
        self._order_path = folder + "/order.json"
        self._ids = []
        self._names = []
        self._proved = 0
        self._highest = 0  # the highest number that is or was in the order
        self.turn = 0

    def __len__(self):
        return len(self._names)

    def names(self):
        """Names in order. The list is the live one: read, don't change."""
        return self._names

    def index(self, name):
        """Place of a look in the order. Errors: ValueError."""
        try:
            return self._names.index(name)
        except ValueError:
            raise ValueError("No look called %s" % name) from None

    def number(self, name):
        """What a look keeps when it is renamed or moved: 1 and up. Errors: ValueError."""
        return self._ids[self.index(name)]

    def name_of(self, number):
        """The name of the look of that number, "" where there is none."""
        return self._names[self._ids.index(number)] if number in self._ids else ""

    def load(self):
        """Read the names from flash."""
        there = set()
        for file in self._disk.list(self._folder):
            if file.endswith(".json") and file[:-5].isdigit():
                there.add(int(file[:-5]))
        order = self._read(self._order_path)
        order = order["looks"] if order else []
        found = [(ident, name) for ident, name in order if ident in there]
        for ident in sorted(there.difference([ident for ident, _name in found])):
            look = self._read(self._path(ident))
            if look:
                found.append((ident, look["name"]))
        self._highest = max([0] + [ident for ident, _name in order] + [ident for ident, _name in found])
        self._ids = [ident for ident, _name in found]
        self._names = [name for _ident, name in found]
        self.turn += 1
        if len(found) != len(order) or len(there) > len(found):
            self._mend()

    def prove(self):
        """Read one look after another, one a call, so that damage is found before it is needed. False: all are
        read."""
        if self._proved >= len(self._ids):
            return False
        self._read(self._path(self._ids[self._proved]))
        self._proved += 1
        return True

    def store(self, name, lights, fade_ms=2000):
        """Keep light under a name; a look of that name is replaced. lights: {uid: [6 ints, extras]}.

        Errors: ValueError: 201st look, name empty or too long; OSError ENOSPC from the disk: nothing changed.
        """
        name = good_name(name)
        at = self._names.index(name) if name in self._names else -1
        if at < 0 and len(self._names) >= MOST:
            raise ValueError("The show is full: %d looks. Delete one first" % MOST)
        if at >= 0:
            self._write(self._ids[at], name, lights, fade_ms)
        else:
            self._store_new(self._highest + 1, name, lights, fade_ms)
        self.turn += 1

    def recall(self, name):
        """({uid: [6 ints, extras]}, fade_ms) of a look. Errors: ValueError: not there or damaged."""
        data = self._read(self._path(self._ids[self.index(name)]))
        if data is None:
            raise ValueError("%s is damaged and has no good copy" % name)
        lights = {item[0]: item[1:] for item in data["lights"]}
        if "raw" in data:
            lights[0] = data["raw"]
        return lights, data["fade_ms"]

    def rename(self, name, new):
        """Errors: ValueError: no such look, bad name, the name of another look; OSError ENOSPC: nothing changed."""
        at = self.index(name)
        new = good_name(new)
        if new == name:
            return
        if new in self._names:
            raise ValueError("%s is another look" % new)
        lights, fade_ms = self.recall(name)
        self._write(self._ids[at], new, lights, fade_ms)
        names = list(self._names)
        names[at] = new
        self._order(self._ids, names)

    def copy(self, name, new):
        """Keep the same light under another name too. Errors: as store; ValueError if the name is taken."""
        if good_name(new) in self._names:
            raise ValueError("%s is another look" % new)
        lights, fade_ms = self.recall(name)
        self.store(new, lights, fade_ms)

    def set_fade(self, name, fade_ms):
        """Give a look another fade time of its own. Errors: as recall; OSError ENOSPC: nothing changed."""
        lights, _old = self.recall(name)
        self._write(self._ids[self.index(name)], name, lights, fade_ms)

    def revert(self, name):
        """Undo the last store over a look. Errors: ValueError: the older copy gave way; OSError ENOSPC."""
        ident = self._ids[self.index(name)]
        data, _why = keep.read(self._disk, self._path(ident) + "~")
        if data is None:
            raise ValueError("The older light of %s has given way" % name)
        self._write(ident, name, {item[0]: item[1:] for item in data["lights"]}, data["fade_ms"])

    def remove(self, name):
        """Delete a look -> what put_back takes. Errors: ValueError."""
        at = self.index(name)
        gone = self._ids[at], at, name, self._disk.read(self._path(self._ids[at]))
        keep.remove(self._disk, self._path(self._ids[at]))
        del self._ids[at], self._names[at]
        self._mend()
        self.turn += 1
        return gone

    def put_back(self, gone):
        """Undo of remove: the look has its old number and place. Errors: ValueError: its name is taken, the show is
        full, or it was damaged; OSError ENOSPC: nothing changed."""
        ident, place, name, data = gone
        look, why = unseal(data)
        if look is None:
            raise ValueError("%s %s: it cannot come back" % (name, why))
        if name in self._names or ident in self._ids:
            raise ValueError("There is another look %s now" % name)
        if len(self._names) >= MOST:
            raise ValueError("The show is full: %d looks. Delete one first" % MOST)
        keep.save(self._disk, self._path(ident), look)
        ids, names = list(self._ids), list(self._names)
        ids.insert(place, ident)
        names.insert(place, name)
        self._order(ids, names)

    def move(self, name, place):
        """Give a look another place in the order, 0-based. Errors: ValueError; OSError ENOSPC: nothing changed."""
        at = self.index(name)
        ids, names = list(self._ids), list(self._names)
        ids.insert(place, ids.pop(at))
        names.insert(place, names.pop(at))
        self._order(ids, names)

    def _store_new(self, ident, name, lights, fade_ms):
        """The order first: until the look's own file is there, it is not a look."""
        ids, names = self._ids, self._names
        self._order(ids + [ident], names + [name])
        try:
            self._write(ident, name, lights, fade_ms)
        except OSError:
            self._ids, self._names = ids, names
            self._mend()
            raise

    def _read(self, path):
        data, fault = keep.load(self._disk, path)
        if fault:
            self.faults.append(fault)
        return data

    def _path(self, ident):
        return "%s/%d.json" % (self._folder, ident)

    def _write(self, ident, name, lights, fade_ms):
        self._disk.mkdir(self._folder)
        rows = [[uid] + list(lights[uid]) for uid in sorted(lights) if uid]
        look = {"name": name, "fade_ms": fade_ms, "lights": rows}
        if 0 in lights:
            look["raw"] = lights[0]
        keep.save(self._disk, self._path(ident), look)

    def _order(self, ids, names):
        """Keep a new order, then take it. Errors: OSError: all is as before."""
        keep.save(self._disk, self._order_path, {"looks": list(zip(ids, names))})
        self._ids, self._names = ids, names
        self._highest = max(self._highest, max(ids, default=0))
        self.turn += 1

    def _mend(self):
        """Keep the order after looks went or came without it; a disk that can't keep it loses nothing."""
        try:
            self._order(self._ids, self._names)
        except OSError:
            pass  # the next load finds the same again


def good_name(name):
    """The name without outer blanks. Errors: ValueError: empty or too long."""
    name = name.strip()
    if not name:
        raise ValueError("A look needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    return name
