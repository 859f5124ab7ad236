"""Named light, kept one file a look. Memory holds the names; the light itself stays in flash until asked for.

The light of one fixture is a list [level, cct, duv, hue, sat, mix] of ints (units: personality.SCALE), followed
by a dict of its raw channels (name -> 0..65535). A look maps fixture uids to such lists.
"""

from firmware.show import keep

MOST = 200
NAME_MOST = 24


class Looks:
    """The looks of one show, in the user's order. `turn` counts changes."""

    def __init__(self, disk, folder):
        self._disk = disk
        self._folder = folder + "/looks"
        self._order_path = folder + "/order.json"
        self._ids = []
        self._names = []
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

    def load(self):
        """Read the names from flash -> list of faults. Looks the order file doesn't know go to the end."""
        self._ids, self._names, faults = [], [], []
        found = {}
        for file in self._disk.list(self._folder):
            ident = file[:-5]
            if not (file.endswith(".json") and ident.isdigit()):
                continue
            data, fault = keep.load(self._disk, self._path(int(ident)))
            if fault:
                faults.append(fault)
            if data is not None:
                found[int(ident)] = data["name"]
        order, fault = keep.load(self._disk, self._order_path)
        if fault:
            faults.append(fault)
        order = order["looks"] if order else []
        for ident in [i for i in order if i in found] + sorted(i for i in found if i not in order):
            self._ids.append(ident)
            self._names.append(found[ident])
        self.turn += 1
        return faults

    def store(self, name, lights, fade_ms=2000):
        """Keep light under a name; a look of that name is replaced. lights: {uid: [6 ints, extras]}.

        Errors: ValueError: 201st look, name empty or too long; OSError ENOSPC from the disk: nothing changed.
        """
        name = good_name(name)
        at = self._names.index(name) if name in self._names else -1
        if at < 0 and len(self._names) >= MOST:
            raise ValueError("The show is full: %d looks. Delete one first" % MOST)
        ident = self._ids[at] if at >= 0 else max(self._ids, default=0) + 1
        self._write(ident, name, lights, fade_ms)
        if at < 0:
            self._ids.append(ident)
            self._names.append(name)
            self._save_order()
        self.turn += 1

    def recall(self, name):
        """({uid: [6 ints, extras]}, fade_ms) of a look. Errors: ValueError: not there or damaged."""
        data, fault = keep.load(self._disk, self._path(self._ids[self.index(name)]))
        if data is None:
            raise ValueError(fault or "%s is gone from the disk" % name)
        return {item[0]: item[1:] for item in data["lights"]}, data["fade_ms"]

    def rename(self, name, new):
        """Errors: ValueError: no such look, bad name, or the name of another look."""
        at = self.index(name)
        new = good_name(new)
        if new == name:
            return
        if new in self._names:
            raise ValueError("%s is another look" % new)
        lights, fade_ms = self.recall(name)
        self._write(self._ids[at], new, lights, fade_ms)
        self._names[at] = new
        self.turn += 1

    def copy(self, name, new):
        """Keep the same light under another name too. Errors: as store; ValueError if the name is taken."""
        if good_name(new) in self._names:
            raise ValueError("%s is another look" % new)
        lights, fade_ms = self.recall(name)
        self.store(new, lights, fade_ms)

    def remove(self, name):
        """Delete a look. Errors: ValueError."""
        at = self.index(name)
        keep.remove(self._disk, self._path(self._ids[at]))
        del self._ids[at], self._names[at]
        self._save_order()
        self.turn += 1

    def move(self, name, place):
        """Give a look another place in the order, 0-based."""
        at = self.index(name)
        ident = self._ids.pop(at)
        self._names.pop(at)
        self._ids.insert(place, ident)
        self._names.insert(place, name)
        self._save_order()
        self.turn += 1

    def _path(self, ident):
        return "%s/%d.json" % (self._folder, ident)

    def _write(self, ident, name, lights, fade_ms):
        self._disk.mkdir(self._folder)
        rows = [[uid] + list(lights[uid]) for uid in sorted(lights)]
        keep.save(self._disk, self._path(ident), {"name": name, "fade_ms": fade_ms, "lights": rows})

    def _save_order(self):
        keep.save(self._disk, self._order_path, {"looks": self._ids})


def good_name(name):
    """The name without outer blanks. Errors: ValueError: empty or too long."""
    name = name.strip()
    if not name:
        raise ValueError("A look needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    return name
