"""Days of use at random: a monkey's gestures on all pages, feeds, full and failing disks, panels that are unplugged,
restarts, power cuts in the middle of writing, and counts of milliseconds that wrap.

A `Soak` walks lives. Each begins with the demo show on a device that is as young or as old as the life says, and ends
after so many gestures. Half of the lives are calm: nothing restarts in them, so that a leak adds up; at their ends
the same show as at their begin is opened, and all that is kept must weigh the same.

What is lost is found in two ways. A cut in the middle of writing: gestures are done while the disk notes what lies on
it before each step, then the device is started on one of these images; each item there must be as it was before or
after one of the gestures. A cut at rest: what the device held in memory and said nothing of not being saved must be
there, and the light that was on too.
"""

import contextlib
import functools
import gc
import traceback

from firmware import parts
from firmware.show import rig_edit
from firmware.ui.frame import canvas as fonts
from sim import demo, feeds
from sim.disk import MemoryDisk
from tests import loaded
from tests.soak import content
from tests.soak.device import Device
from tests.soak.disk import NUMBERS, READS, WRITES, Disk
from tests.soak.weight import weigh
from tests.ui import walker

YARDSTICK = "shows/yardstick"  # the show that is open whenever memory is weighed
# Pages that open without arguments; the monkey seldom finds the way to the deepest.
PAGES = ("home", "light", "light_pick", "looks", "run", "run_add", "effects", "feed", "feed_counts", "feed_lost",
         "captures", "capture_record", "meter", "slate", "rig", "sheet", "slots", "groups", "load", "settings",
         "selftest", "faults", "about", "storage", "shows")
AGES = (0, 0, 28, 29, 30, 31, 32)  # a life begins just before so many ms as a power of two, 0: at power-up
NAMES = [name for name in walker.NAMES if name.strip()]  # the host refuses the empty ones
# What happens before a gesture, and once in how many it does; those below the line not in calm lives.
RESTING = (("rename", 31), ("page", 20), ("feed", 400), ("panel", 700), ("full", 900), ("fail", 900), ("battery", 2000))
ROUGH = (("cut_writing", 350), ("cut", 1200), ("restart", 900), ("damage", 3000))
LIFE = 2000  # gestures of a life
DRIFT = 512  # bytes: the most by which what is kept may differ
_FAULT = 60  # gestures that a fault lasts, at most
_QUIET_MS = 7000  # the light is kept 4 s after a change at the latest (stage/state_write.py)


class Soak(walker.Walker):
    """Counts what happened in `counts`, and what went wrong in words in `wrong`."""

    def __init__(self, seed):
        self.files = dict(_files())
        self.counts = dict.fromkeys(("gestures", "lives", "cuts", "faults", "restarts", "packets", "damaged"), 0)
        self.wrong, self.lost, self.crashes, self.drift, self.ms = [], 0, 0, 0, 0
        self.gap = {"worst": 0, "exchanged": 0, "restarted": 0, "powered": 0}
        self.seed, self.life, self._ends, self._first = seed, 0, {}, {}
        super().__init__("oled", seed, device=object())

    # --- lives ---

    def soak(self, gestures, most):
        """Walk so many gestures, in lives of `most` at most; -> self."""
        with loaded.as_after_boot() as self.known, walker.quick():
            while self.counts["gestures"] < gestures:
                told = len(self.wrong)
                self.live(min(most, gestures - self.counts["gestures"]))
                for words in self.wrong[told:]:
                    print(words, flush=True)
                if self.life % 25 == 0:
                    print(f"life {self.life}: {self.ms / 3.6e6:.1f} h, {self.counts}", flush=True)
        return self

    def live(self, gestures):
        """One life."""
        self.life += 1
        self.dice.seed(f"{self.seed} {self.life}")
        calm = self.life % 2 == 1
        panel = self.dice.choice(sorted(walker.SIZES))
        self._ends = {}
        self.b = Device(Disk(self.files, self.dice.random), walker.SIZES[panel], self.watch)
        power = AGES[self.life % len(AGES)]
        if power:
            self.b.age((1 << power) - self.dice.randrange(1000, 20_000))
        before = 0
        if calm:
            before = self._weigh()
            self.app.open_show("demo")
        gc.freeze()
        began = self.b.clock.us()
        with self._told():
            for _ in range(gestures):
                self._one(RESTING if calm else RESTING + ROUGH)
            self._end_faults()
            if calm and not self.b.crashes:
                self._same_weight(panel, before)
        self._count((self.b.clock.us() - began) // 1000)

    @contextlib.contextmanager
    def _told(self):
        try:
            yield
        except Exception:
            self.wrong.append(f"seed {self.seed}, life {self.life}: " + traceback.format_exc(limit=-6))
            self.lost += 1

    def _count(self, ms):
        """Add up what a life came to."""
        self.ms += ms
        self.counts["lives"] += 1
        self.crashes += len(self.b.crashes)
        self.wrong += [f"seed {self.seed}, life {self.life}: {words}" for words in self.b.crashes]
        self.counts["packets"] += self.b.cable.counts["good"]
        for kind in self.gap:
            self.gap[kind] = max(self.gap[kind], getattr(self.b.wire, kind))

    def _one(self, events):
        for name, odds in events:
            if not self.dice.randrange(odds):
                getattr(self, name)()
        for name in [name for name in self._ends if self.counts["gestures"] >= self._ends[name]]:
            self._ends.pop(name)
            getattr(self, "_end_" + name)()
        self._gesture()

    def _gesture(self):
        self.counts["gestures"] += 1
        self.random()
        app = self.b.app
        sent = app.feed.frame if app.feed else app.stage.frame
        assert self.b.wire._slots == bytes(sent), "the line has other slots than the stage and the feed made"
        if self.counts["gestures"] % 499 == 0:
            found = loaded.outlived(self.known)
            assert not found, f"{found} outlived their modules"

    def _left(self):
        if not self.dice.randrange(10):
            super()._left()

    def _step(self, ms):
        self.b.walk(ms)

    # --- memory ---

    def _weigh(self):
        """Bytes that are kept with the yardstick show open, nothing running, and the whole fonts loaded. All pages are
        opened first, as names come into being then."""
        self.b.feed = None
        self.app.locked = False
        for page in PAGES:
            self.app.open(page)
            self.b.walk(20)
        self._stop_feed()
        self._stop_answering()
        for folder in YARDSTICK, "state":  # where the yardstick is open, the state has slots of it that a feed set
            self.b.disk.restore(self.files, folder)
        self.app.open_show("yardstick")
        self.app.canvas.measure("é", fonts.SMALL)
        for _ in range(120):
            self.b.walk(100)
        for _ in range(1000):
            if self.app.screen.done():
                break
            self.b.walk(4)
        app = self.app
        assert app.screen.done() and app.page_name == "light", "the device does not come to rest"
        app.undo, app.log._last = [], None
        app.remembered.clear()
        app.canvas._texts[:] = [""] * len(app.canvas._texts)  # those of the last pages, drawn long ago
        while app.shelf.tidy():
            pass
        gc.collect()
        return weigh(app)

    def _stop_feed(self):
        app = self.app
        if app.feed:
            app.feed.record(None)
            app.feed.player = None
            app.machines.tidy_captures()
            app.feed = app.stage.pick_up = None
            app.machines.close("feed")

    def _stop_answering(self):
        """Have the port as a device comes: what answers a desk by RDM is a setting of the device, and takes 4 KB."""
        if self.app.settings["rdm"]:
            self.app.settings["rdm"] = 0
            parts.once("firmware.feed_sources", "choose", self.app)

    def _same_weight(self, panel, before):
        after = self._weigh()
        first = self._first.setdefault(panel, before)
        drift = max(abs(after - before), abs(after - first))
        if drift > DRIFT:
            self.wrong.append(f"seed {self.seed}, life {self.life}: {before} bytes at its begin, {after} at its end, "
                              f"{first} at the begin of the first on that panel")
        self.drift = max(self.drift, drift)

    # --- what happens ---

    def rename(self):
        """The host gives a lamp and the show another name."""
        show = self.app.show
        name = self.dice.choice(NAMES)
        with contextlib.suppress(OSError, ValueError):  # a name that there is, a disk that is full
            if show.rig.fixtures:
                rig_edit.rename(show.rig, self.dice.choice(show.rig.fixtures), name)
                show.save_rig()

    def page(self):
        """Open any page, as a gesture does (app_loop.py)."""
        if not self.app.locked:
            try:
                self.app.open(self.dice.choice(PAGES))
            except OSError:
                self.app.refuse_page()

    def feed(self):
        """A desk begins to send."""
        self._lasts("feed")
        self.b.feed = self.dice.choice([made for _words, made in feeds.MADE.values() if made])

    def _end_feed(self):
        self.b.feed = None

    def panel(self):
        """The panel is unplugged."""
        self._lasts("panel")
        self.b.panel.missing = True

    def _end_panel(self):
        self.b.panel.missing = False

    def full(self):
        """The disk has nearly no room."""
        self._end_disk()
        self._lasts("disk")
        self.b.disk.fill(self.dice.randrange(9))
        self.b.disk.refused = True  # the firmware may see that without asking the disk

    def fail(self):
        """The disk fails: always or now and then, in reading, in writing or in both."""
        self._end_disk()
        self._lasts("disk")
        verbs = self.dice.choice((WRITES, WRITES, READS, WRITES + READS, (self.dice.choice(WRITES + READS),)))
        self.b.disk.fail(verbs, self.dice.choice(NUMBERS), self.dice.choice((0.02, 0.3, 1)))

    def _end_disk(self):
        self.b.disk.mend()

    def battery(self):
        """The device runs on a battery that is nearly empty."""
        self._lasts("battery")
        power = self.b.board.power
        power.on_usb, power.battery = False, self.dice.choice((3900, 3500, 3300, 3000))

    def _end_battery(self):
        self.b.board.power.on_usb = True

    def _lasts(self, name, times=1):
        self.counts["faults"] += 1
        self._ends[name] = self.counts["gestures"] + self.dice.randrange(5, _FAULT * times)

    def _end_faults(self):
        for name in list(self._ends):
            self._ends.pop(name)
            getattr(self, "_end_" + name)()

    # --- restarts and cuts ---

    def restart(self):
        """The chip restarts with its power on: the line goes on with what is on it."""
        self.counts["restarts"] += 1
        before = self.b.wire._slots
        self.b.restart()
        sent = [slots for _us, slots in self.b.wire.packets][-20:]
        assert self.b.app.feed or sent[0] == before, "another light after a restart"

    def cut(self):
        """The power is cut at rest."""
        self._end_faults()
        self.b.walk(30)
        if getattr(self.app.page, "dialling", False):
            self.gesture("back")  # what is being dialled is not saved yet
        self._rest()
        self.counts["cuts"] += 1
        app, refused = self.b.app, self.b.disk.refused
        content.looks(app.show)  # a look that was damaged before leaves the list when it is read for the first time
        kept = content.packed(app.show.rig), content.looks(app.show), app.show.folder
        light = self._still() and not refused and seen(app.stage)
        damage = set(content.logged(self.b.disk.image()))
        self._start_anew(damage)
        if refused:
            return
        show = self.b.app.show
        now = content.packed(show.rig), content.looks(show), show.folder
        self._lose([what for what, a, b in zip(("rig", "looks", "show"), kept, now) if a != b])
        if light and light != seen(self.b.app.stage):
            self._lose(["light"])

    def _rest(self):
        self.b.walk(_QUIET_MS)
        for _ in range(80):  # a record is made of one lamp a step
            self.b.walk(10)

    def _still(self):
        """True where nothing moves the light by itself and nobody has told the device to start dark. What is kept of a
        crossfade by hand is its light, which gives other fine bytes than the way between two frames does."""
        app = self.b.app
        effects = app.stage.effects
        return not (app.feed or app.player or effects and effects.running or app.stage.left()
                    or app.stage.by_hand or app.shelf.settings["dark"] or app.stage.full or app.page_name == "selftest")

    def cut_writing(self):
        """The power is cut in the middle of writing."""
        disk = self.b.disk
        states = [disk.image()]
        disk.note(True)
        for _ in range(self.dice.randrange(1, 3)):
            self._gesture()
            states.append(disk.image())
        if self.dice.randrange(2):
            self._rest()
            states.append(disk.image())
        images = disk.note(False)
        if not images:
            return
        self.counts["cuts"] += 1
        self._end_faults()
        disk.put(self.dice.choice(images))
        found, damage = content.content(disk.image())
        known = [content.content(state) for state in states]
        self._lose(content.torn([items for items, _damage in known], found))
        self._lose([words for words in damage if not any(words in damage for _items, damage in known)])
        self._start_anew(set(content.logged(disk.image())))

    def damage(self):
        """A file is damaged while there is no power: the device starts, and goes on."""
        disk = self.b.disk
        files = dict(disk.files)
        name = self.dice.choice(sorted(files))
        data = bytearray(files[name])
        if data:
            at = self.dice.randrange(len(data))
            data[at:at + self.dice.choice((0, 1, 8))] = self.dice.randbytes(self.dice.choice((1, 8)))
        self.counts["damaged"] += 1
        self._end_faults()
        disk.files[name] = bytes(data)
        self._start_anew(None)

    def _start_anew(self, known):
        """Unplug, plug in. known: what the log of faults had, None: anything may be said."""
        self.b.unplug(self.dice.choice((50, 1000, 100_000)))
        self.b.disk.refused = False
        self.b.power_up()
        self.b.walk(1000)
        if known is not None and not self.b.disk.refused:
            self._lose([words for words in content.logged(self.b.disk.image())
                        if words not in known and ("damaged" in words or "left out" in words)])

    def _lose(self, what):
        if what:
            self.lost += len(what)
            self.wrong.append(f"seed {self.seed}, life {self.life}, gesture {self.counts['gestures']}: lost {what}; "
                              f"the last gestures were {self.done[-4:]}")


def seen(stage):
    """The stage's frame but for the hue of lamps whose saturation is 0, which nobody sees: a fade to white keeps it."""
    frame = bytearray(stage.frame)
    for f in stage.show.rig.fixtures:
        for name, *slots in [channel[:3] for channel in f.personality.channels]:
            if name == "hue" and not stage.value(f, "sat"):
                for slot in slots:
                    frame[f.address - 1 + max(slot, 0)] = 0
    return bytes(frame)


@functools.cache
def _files():
    """The demo show and the yardstick: {path: bytes}."""
    disk = MemoryDisk()
    demo.write(disk, YARDSTICK)
    demo.write(disk)
    return dict(disk.files)
