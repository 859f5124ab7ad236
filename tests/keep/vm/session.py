"""A long evening with the device, by the app's own calls, and what must be there after each of them.

Runs on the MicroPython VM and on CPython. `World` is the device without screen and knob: shelf, show, stage, keeping,
on virtual time. `Session` acts on it and keeps its own account (`model`) of what was reported saved.
"""

from firmware.show import file_format, looks_compact, looks_edit, rig_edit, rig_file, shelf_edit
from firmware.show.fault_log import FaultLog
from firmware.show.fixture_light import unlit
from firmware.show.shelf import Shelf
from firmware.stage import state_read
from firmware.stage.stage import Stage
from firmware.stage.state_write import StateWriter

STEP_MS = 200
KINDS = ("dim16", "tint16", "rgbw16")
_NONE = None, 0, None, None  # no look was deleted: show, place, look, what put_back takes


def bring_up(path, obj):
    """The step from schema 0, an invented older one that called a look's lights "light", to schema 1.
    Put it in file_format.STEPS[0] before a session."""
    if "light" in obj:
        obj["lights"] = obj.pop("light")
    return obj


class World:
    """The device, powered up on what the disk holds."""

    def __init__(self, disk, flash=None):
        self.disk = disk
        self.flash = flash
        self.watch = None  # called with the world each step, before anything is kept
        self.now = 0
        self.shelf = Shelf(disk)
        self.log = FaultLog(disk)
        self.take(self.shelf.open())

    def take(self, show):
        """Open a show, as the app does."""
        self.show = show
        self.stage = Stage(show)
        self.kept = StateWriter(self.disk, self.stage, self.shelf.faults)
        state_read.read(self.kept, self.now)
        self.stage.step(self.now)
        show.looks.load()

    def run(self, ms):
        """Let time pass."""
        for _ in range(ms // STEP_MS):
            self.now += STEP_MS
            if self.flash:
                self.flash.now = self.now
            self.stage.step(self.now)
            if self.watch:
                self.watch(self)
            self.kept.step(self.now)

    def on(self):
        """The light that is on: (show, master, blackout, {uid: light})."""
        return self.show.folder, self.stage.master_units, self.stage.blackout, self.stage.present()

    def content(self):
        """All shows and settings on the disk, read through the firmware, as bytes to compare: {ident: bytes}."""
        whats = [what for _at, what, _where in self.log.entries()]
        out = {"": bytes(file_format.encode([self.shelf.opened, self.shelf.settings["dark"], whats]))}
        for ident in self.shelf.idents():
            show = self.show
            if show.folder != "shows/" + ident:
                show = self.shelf._show(ident)  # as open does, without making it the open one
                show.looks.load()
            out[ident] = show_bytes(show.name, rig_file.pack(show.rig), [
                (name, look_rows(show.looks.recall(name))) for name in show.looks.names()])
        return out


def same_light(on, then):
    """True where the light that is on is what was on then; fixtures patched since are as patched."""
    start = unlit()
    return on[1:3] == then[1:3] and all(light == then[3].get(uid, start) for uid, light in on[3].items())


def look_rows(recalled):
    """A look as plain rows."""
    lights, fade_ms = recalled
    return [fade_ms, sorted([uid] + list(light) for uid, light in lights.items())]


def show_bytes(name, rig, looks):
    """One show as bytes to compare."""
    return bytes(file_format.encode([name, rig, looks]))


class Session:
    """Acts on a world; `model`: {ident: [name, rig, [(look, rows)]]}, its own account."""

    def __init__(self, world, seed):
        self.world = world
        self.model = {}
        self.open = world.shelf.opened
        self.opens = self.open  # what the next power-up opens: a full disk may not keep it, and says so
        self.dark = False
        self.gone = []
        self.lost = _NONE
        self.whats = []
        self.seed = seed
        self.count = 0
        self.model[self.open] = [world.show.name, rig_file.pack(world.show.rig), []]

    def random(self, n):
        """0..n-1, the same on every machine."""
        self.seed = (self.seed * 1103515245 + 12345) & 0x7FFFFFFF
        return (self.seed >> 8) % n

    def expected(self):
        """What must be on the disk now: as World.content."""
        opens = self.opens if self.opens in self.model else sorted(self.model)[0]
        out = {"": bytes(file_format.encode([opens, self.dark, self.whats]))}
        for ident, (name, rig, looks) in self.model.items():
            out[ident] = show_bytes(name, rig, looks)
        return out

    def act(self):
        """Do the next thing: fixed ones first, so that each kind comes early, then at random."""
        verbs = (
            self.patch, self.dial, self.store, self.store, self.rename, self.reorder, self.new, self.change,
            self.patch, self.store, self.copy, self.dial, self.go, self.remove, self.undo_look, self.old_show,
            self.migrate, self.clear, self.delete, self.undo, self.delete, self.rename_show, self.set_dark,
            self.fault, self.swap, self.clear)
        often = (self.dial, self.dial, self.store, self.store, self.restore, self.rename, self.reorder, self.go)
        n, self.count = self.count, self.count + 1
        if n < len(verbs):
            verbs[n]()
        elif self.random(2):
            often[self.random(len(often))]()
        else:
            verbs[self.random(len(verbs))]()

    # --- verbs: each does one thing by the firmware's call, then notes it in the model ---

    def patch(self):
        rig = self.world.show.rig
        if len(rig) < 12:
            for kind in KINDS:
                rig.add(kind)
            self._save_rig()

    def swap(self):
        rig = self.world.show.rig
        if len(rig):
            rig_edit.rename(rig, rig.fixtures[0], "Lamp %d" % self.random(10000))
            self._save_rig()

    def dial(self):
        w = self.world
        for _ in range(10):
            if len(w.show.rig):
                f = w.show.rig.fixtures[self.random(len(w.show.rig))]
                w.stage.dial(f, level=self.random(1000) / 1000, cct=2700 + self.random(3000))
            w.run(400)

    def store(self):
        self._store("Look %d" % self.random(100000))

    def restore(self):
        looks = self._looks()
        if looks:
            self._store(looks[self.random(len(looks))][0])

    def rename(self):
        looks = self._looks()
        if looks:
            at, new = self.random(len(looks)), "Name %d" % self.random(100000)
            looks_edit.rename(self.world.show.looks, looks[at][0], new)
            looks[at] = (new, looks[at][1])

    def reorder(self):
        looks = self._looks()
        if looks:
            at, to = self.random(len(looks)), self.random(len(looks))
            looks_edit.move(self.world.show.looks, looks[at][0], to)
            looks.insert(to, looks.pop(at))

    def remove(self):
        looks = self._looks()
        if looks:
            at, show = self.random(len(looks)), self.world.show
            gone = looks_edit.remove(show.looks, looks[at][0])
            self.lost = show, at, looks.pop(at), gone

    def go(self):
        looks = self._looks()
        if looks:
            self.world.stage.go(looks[self.random(len(looks))][0], 0)
        self.world.stage.master = self.random(100) / 100
        self.world.stage.blackout = not self.random(4)
        self.world.run(1000)

    def new(self):
        if len(self.model) < 4:
            ident = shelf_edit.new(self.world.shelf, "Show %d" % self.random(1000))
            self.model[ident] = [self.world.shelf.name(ident), {"next": 1, "personalities": [], "fixtures": []}, []]

    def change(self):
        others = sorted(ident for ident in self.model if ident != self.open)
        if others:
            self._open(others[self.random(len(others))])

    def copy(self):
        if len(self.model) < 4:
            ident = shelf_edit.copy(self.world.shelf, self.open, "Copy")
            self.model[ident] = ["Copy", self.model[self.open][1], list(self._looks())]

    def rename_show(self):
        name = "Named %d" % self.random(1000)
        shelf_edit.rename(self.world.shelf, self.open, name)
        self.world.show.name = name
        self.model[self.open][0] = name

    def delete(self):
        others = sorted(ident for ident in self.model if ident != self.open)
        if others:
            ident = others[self.random(len(others))]
            shelf_edit.remove(self.world.shelf, ident)
            self.gone.append((ident, self.model.pop(ident)))

    def undo(self):
        if shelf_edit.can_put_back(self.world.shelf):
            ident = shelf_edit.put_back(self.world.shelf)
            while self.gone:
                was, show = self.gone.pop()
                if ident == was or ident.startswith(was + "-"):
                    self.model[ident] = show
                    return

    def old_show(self):
        """A show as an older version left it; put there in one step, as a restore by USB would."""
        disk = self.world.disk
        if "old" in self.model or disk.list("shows/old+"):
            return
        rows = [[1, 65536, 3200, 0, 0, 0, 0, {}]]
        rig = {"next": 2, "personalities": [], "fixtures": [
            {"uid": 1, "name": "Key", "personality": "dim16", "address": 1, "trims": {}}]}
        files = {"show.json": {"name": "Old"}, "rig.json": rig, "order.json": {"looks": [[1, "Day"], [2, "Eve"]]},
                 "looks/1.json": {"name": "Day", "fade_ms": 0, "light": rows},
                 "looks/2.json": {"name": "Eve", "fade_ms": 9, "light": rows}}
        disk.mkdir("shows/old+")
        disk.mkdir("shows/old+/looks")
        for path in files:
            disk.write("shows/old+/" + path, file_format.seal(files[path], 0))
        disk.rename("shows/old+", "shows/old")
        self.model["old"] = ["Old", rig, [("Day", [0, rows]), ("Eve", [9, rows])]]

    def migrate(self):
        if "old" in self.model:
            self._open("old")
            for name in self.world.show.looks.names():
                self.world.show.looks.recall(name)

    def undo_look(self):
        """Bring back the look that was deleted last, where its show is open still and its name is free."""
        show, at, look, gone = self.lost
        if show is self.world.show and look[0] not in [name for name, _rows in self._looks()]:
            self.lost = _NONE
            looks_edit.put_back(show.looks, gone)
            self._looks().insert(at, look)

    def clear(self):
        """What idle moments bring; then the log is cleared of all that was replaced, as if it were much."""
        looks = self.world.show.looks
        for _ in range(8):
            looks.prove()
        if looks.parts:
            looks_compact.whole(looks)

    def set_dark(self):
        self.world.shelf.set("dark", not self.dark)
        self.dark = not self.dark

    def fault(self):
        what = "a fault %d" % self.random(100000)
        if self.world.log.add(self.world.now, what, "session"):
            self.whats = [what] + self.whats[:49]

    # --- inside ---

    def _looks(self):
        return self.model[self.open][2]

    def _save_rig(self):
        self.world.show.save_rig()
        self.model[self.open][1] = rig_file.pack(self.world.show.rig)

    def _store(self, name):
        looks, stage = self._looks(), self.world.stage
        rows = sorted([uid] + list(light) for uid, light in stage.present().items())
        stage.store(name)
        names = [look for look, _rows in looks]
        if name in names:
            at = names.index(name)
            looks[at] = (name, [looks[at][1][0], rows])  # it keeps its own fade time
        else:
            looks.append((name, [2000, rows]))

    def _open(self, ident):
        said = len(self.world.shelf.faults)
        self.world.take(self.world.shelf.open(ident))
        self.open = ident
        if len(self.world.shelf.faults) == said:
            self.opens = ident
