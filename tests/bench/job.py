"""How many gestures the whole job takes, from an empty device to a finished scene, on both panels.

Five lamps are named, one of them addressed by hand; the key gets its level, all go to 4300 K, one gets some green; two
are measured at the mark, and B is matched to A; the key goes to T4 and the fill two stops under it; three looks are
stored, one is gone to in 5 s, and they are put into a running order; an effect is put on a lamp; a take is logged, and
its light brought back; a feed comes in and is grabbed; it is captured; the device is locked.

A gesture is one push, one hold, one tap of a key, or one uninterrupted turn of at most 24 detents (pushed or not). Eyes
are allowed: the script looks at the open page to see how far to turn, and stops where the figure is there.
"""

from math import log

from firmware.light import white
from firmware.show.meter_readings import Readings
from firmware.show.slate import Slate
from sim import Bench
from tests.feed.test_bench import Desk

MOST = 24  # detents of one gesture
_FAST_MS = 12  # between two detents of a fast turn
PANELS = {"tft": "pico2_tft", "oled": "pico_oled"}
NAMES = ("Key", "Fill", "Backlight", "Kicker", "Background")
KIND, OTHER_KIND = "tint16", "rgbww"
ADDRESSES = (1, 7, 13, 19, 101)
# What the meter shows of each alone, set to 4300 K: lux, K, Duv. The key is at its level, the fill at full.
READINGS = {"Key": (2400, 4310, 0.0020), "Fill": (2150, 4180, -0.0040)}
GREEN = 0.006  # of the Kicker


class Job:
    """A device, and the count of gestures and detents by part."""

    def __init__(self, panel):
        self.b = Bench(board=PANELS[panel], show=None)
        self.desk = Desk(self.b)
        self.parts, self.detents = {}, {}
        self.part = ""
        self.b.run(0.5)

    @property
    def app(self):
        return self.b.app

    @property
    def page(self):
        return self.b.app.page

    def begin(self, part):
        """What follows counts for this part."""
        self.part = part
        self.parts[part] = self.detents[part] = 0

    def _count(self, detents=0):
        self.parts[self.part] += 1
        self.detents[self.part] += abs(detents)
        assert abs(detents) <= MOST, f"{self.part}: a turn of {detents} detents"

    def do(self, gesture, *args):
        """One gesture of the bench."""
        self._count(args[0] if gesture in ("turn", "push_turn") else 0)
        getattr(self.b, gesture)(*args)
        self.rest()

    def rest(self):
        """A moment passes; packets of the desk come in."""
        self.desk.run(0.1)

    def dial(self, reached, towards, pushed=False, fast=lambda: False):
        """One turn, as far as it takes: until reached() says so. towards() -> 1 or -1; fast() -> True while the knob is
        turned as fast as a hand can."""
        if pushed:
            self.b.key_down("push")
            self.b.run(0.08)
        turned = 0
        while not reached():
            self.b.turn(towards(), _FAST_MS if fast() else 40)
            turned += 1
            assert turned <= MOST, f"{self.part}: not reached in {MOST} detents: {self.b.lines}"
        if pushed:
            self.b.key_up("push")
            self.b.run(0.08)
        self._count(turned)
        self.rest()

    def rows(self):
        return [self.page.row(item)[0] for item in self.page.items]

    def to(self, text):
        """Turn a list to the row of that text."""
        at = self.rows().index(text)
        if at != self.page.at:
            self.do("turn", at - self.page.at)

    def choose(self, text):
        """Turn to a row and push."""
        self.to(text)
        self.do("press")

    def lamp(self, name):
        """On the Light page: push and turn to a row."""
        names = [getattr(item, "name", item) for item in self.page.items]
        if names.index(name) != self.page.at:
            self.do("push_turn", names.index(name) - self.page.at)

    def find(self, name):
        return self.app.show.rig.find(name)

    def value(self, name, what):
        return self.app.stage.value(self.find(name), what)

    def is_open(self, name):
        assert self.app.page_name == name, f"{self.part}: {self.app.page_name} is open: {self.b.lines}"

    def go_to(self, name):
        """To a page of the list of pages."""
        while self.app.page_name != "home":
            self.do("tap", "back")
        self.choose(name)

    def to_light(self):
        """Back to the Light page."""
        if self.app.page_name == "lamp":  # three levels down: by way of the looks
            self.do("tap", "look")
            self.do("tap", "look")
        while self.app.page_name != "light":
            self.do("tap", "back")


def name_it(job, name):
    """On the page for a name: turn to a word, if another is marked, and hold."""
    job.is_open("name")
    page = job.page
    words = [page.choice(k) for k in range(page.count())]
    if words[page.at] != name:
        job.do("turn", words.index(name) - page.at)
    job.do("hold")


def choose_kind(job, ident):
    job.is_open("lamp_kind")
    if job.page.items[job.page.at] != ident:
        job.do("turn", job.page.items.index(ident) - job.page.at)
    job.do("press")


def rig(job):
    """Four lamps of one kind, one of another; the last at an address of its own."""
    job.do("press")  # an empty device says so
    choose_kind(job, KIND)
    name_it(job, NAMES[0])
    job.to("More of these")
    job.dial(lambda: job.page.row("More of these")[1] == "3", lambda: 1, pushed=True)
    for name in NAMES[1:4]:
        name_it(job, name)
    job.do("tap", "back")
    job.choose("+ Add a lamp")
    choose_kind(job, OTHER_KIND)
    name_it(job, NAMES[4])
    last = job.find(NAMES[4])
    job.to("Address")
    job.dial(lambda: job.page.value == ADDRESSES[4],
             lambda: 1 if (job.page.value or last.address) < ADDRESSES[4] else -1, pushed=True,
             fast=lambda: ADDRESSES[4] - (job.page.value or last.address) > 8)


def light(job):
    """The key's level, all to 4300 K (which new lamps are asked for: a look at the figure), the kicker's green."""
    job.to_light()
    job.lamp("Key")
    job.dial(lambda: job.value("Key", "level") >= 0.5, lambda: 1, fast=lambda: job.value("Key", "level") < 0.3)
    job.lamp("All lamps")
    job.do("press")
    if any(job.value(name, "cct") != 4300 for name in NAMES):
        job.do("turn", 1)
    job.lamp("Kicker")
    job.do("press")
    job.dial(lambda: job.value("Kicker", "duv") > GREEN - 0.0004, lambda: 1)


def measure(job):
    """The readings of two lamps, and B matched to A."""
    job.go_to("Meter")
    job.to("Key")
    job.do("press")
    alone(job, "Key")
    enter(job, "Key", True)
    job.do("press")
    alone(job, "Fill")
    enter(job, "Fill", False)
    job.do("hold")
    job.is_open("meter_match")


def alone(job, name):
    """The lamp that is to be measured is the only one on the line."""
    job.is_open("meter_read")
    lit = [f.name for f in job.app.show.rig.fixtures if job.app.stage.value(f, "level")]
    assert lit == [name] == [job.page.lamp.name]


def enter(job, name, first):
    """The figures of a reading: one turn each, the light of the first in two."""
    lux, kelvin, duv = READINGS[name]
    if first:
        job.dial(lambda: abs(log(job.page.lux / lux) / log(2)) <= 1 / 6, lambda: 1 if job.page.lux < lux else -1)
    job.dial(lambda: round(job.page.lux) == lux, lambda: 1 if job.page.lux < lux else -1, pushed=first,
             fast=lambda: abs(job.page.lux - lux) > 60)
    job.dial(lambda: job.page.place == 2 and job.page.kelvin == kelvin, lambda: 1 if job.page.kelvin < kelvin else -1,
             pushed=True, fast=lambda: abs(job.page.kelvin - kelvin) > 60)
    duv = round(duv * 100000)
    job.dial(lambda: job.page.place == 3 and job.page.duv == duv, lambda: 1 if job.page.duv < duv else -1, pushed=True,
             fast=lambda: abs(job.page.duv - duv) > 60)


def expose(job):
    """The key to T4, the fill two stops under it."""
    job.go_to("Meter") if job.app.page_name != "meter_match" else job.do("tap", "back")
    job.is_open("meter")
    job.to("Key")
    key = job.find("Key")
    job.dial(lambda: job.page.row(key)[1].startswith("T4  "), lambda: -1, pushed=True,
             fast=lambda: not job.page.row(key)[1].startswith(("T4", "T5.6")))
    job.to("Key : fill")
    job.dial(lambda: job.page.row("Key : fill")[1] == "4.0 : 1  2.0 st", lambda: -1, pushed=True)


def looks(job):
    """Three looks: as it is, with the kicker, and with the background."""
    job.to_light()
    store(job)
    job.lamp("Kicker")
    job.do("press")
    assert job.page.what == "level"
    job.dial(lambda: job.value("Kicker", "level") > 0.2, lambda: 1, fast=lambda: job.value("Kicker", "level") < 0.05)
    store(job)
    job.lamp("Background")
    job.dial(lambda: job.value("Background", "level") > 0.2, lambda: 1,
             fast=lambda: job.value("Background", "level") < 0.05)
    store(job)


def store(job):
    """The light that is on as a new look, under the name that is offered."""
    job.do("hold")
    job.choose("Store new look")
    job.do("press")


def fade(job):
    """To the first look in five seconds."""
    job.do("tap", "look")
    job.to("Look 1")
    job.b.run(0.5)
    job.dial(lambda: job.page.seconds == 5, lambda: 1, pushed=True)
    job.do("press")
    assert job.app.stage.look == "Look 1" and 4000 < job.app.stage.left() <= 5000
    job.desk.run(5.2)


def order(job):
    """All looks into the running order."""
    job.go_to("Run")
    job.choose("+ Add looks")
    job.choose("All in their order")


def effect(job):
    """A candle on the background, which is dark in the look that is on."""
    job.go_to("Effects")
    aim = [name for name, _uids in job.page.targets].index("Background") - job.page.aim
    if aim:
        job.do("push_turn", aim)
    job.choose("+ Candle")
    assert job.app.stage.effects.running


def slate(job):
    """Log a take, go to other light, and bring the take's light back."""
    job.do("tap", "back")
    job.do("hold")
    job.is_open("slate")
    before = job.b.frame
    job.do("tap", "look")
    job.choose("Look 3")
    job.desk.run(2.5)
    assert job.b.frame != before
    job.go_to("Slate")
    job.choose("Light of a set-up")
    job.b.run(0.5)
    job.do("press")
    job.desk.run(1.5)
    assert job.b.frame == before


def port(job):
    """A board with one port: let it listen, or send again."""
    if "The port" in job.rows():
        job.choose("The port")


def feed(job):
    """Packets come in on slots of the house; grabbed as a look."""
    job.desk.slots = bytes(300) + bytes(range(1, 101)) + bytes(112)
    job.go_to("Feed")
    port(job)
    job.desk.run(2)
    job.do("hold")


def capture(job):
    """Record it for two seconds."""
    job.choose("Captures")
    job.choose("+ Record the feed")
    job.desk.run(1)
    job.do("press")
    job.desk.run(2)
    job.do("press")
    if len(job.app.board.lines) == 1:
        job.do("tap", "back")
        port(job)
        job.desk.slots = None


def lock(job):
    job.do("hold", "back")


PARTS = (rig, light, measure, expose, looks, fade, order, effect, slate, feed, capture, lock)


def check_rig(job):
    """Names, kinds, addresses, in a show that a power cut would bring back."""
    fixtures = job.app.show.rig.fixtures
    assert [f.name for f in fixtures] == list(NAMES)
    assert [f.personality.id for f in fixtures] == [KIND] * 4 + [OTHER_KIND]
    assert [f.address for f in fixtures] == list(ADDRESSES)


def check_meter(job):
    """The readings as they were entered. The fill's setting follows from the definition of a match: in mired and Duv it
    is off by as much as before. The levels: T4 is half of T5.66's light, and two stops under that is a quarter."""
    readings, key, fill = Readings(job.app.show), job.find("Key"), job.find("Fill")
    for name, (lux, kelvin, duv) in READINGS.items():
        reading = readings.get(job.find(name))
        assert [reading[0], *reading[2:4]] == [lux * 100, kelvin, round(duv * 1e5)]
    off = white.mired(READINGS["Fill"][1]) - white.mired(4300)
    wanted = 1e6 / (white.mired(READINGS["Key"][1]) - off)
    assert abs(job.value("Fill", "cct") - wanted) <= 1
    assert abs(job.value("Fill", "duv") - (READINGS["Key"][2] - READINGS["Fill"][2])) < 2e-5
    lux = readings.lux_now(job.app.stage, key)
    assert abs(readings.stop(lux) - 4) < 0.01
    assert abs(lux / readings.lux_now(job.app.stage, fill) - 4) < 0.02


def check_light(job):
    """Levels and whites are those of the take, which was logged in Look 1."""
    assert [job.value(name, "cct") for name in ("Key", "Backlight", "Kicker", "Background")] == [4300] * 4
    assert abs(job.value("Kicker", "duv") - GREEN) < 0.0005
    assert job.value("Background", "level") == job.value("Kicker", "level") == 0
    frame = job.b.frame
    for name in ("Key", "Fill"):
        at = job.find(name).address - 1
        wire = [(frame[at + n] << 8 | frame[at + n + 1]) / 65535 for n in (0, 2, 4)]
        # Ranges of the kind: 2700..6500 K, Duv -0.02..0.02, both straight over the slot.
        asked = job.value(name, "level"), (job.value(name, "cct") - 2700) / 3800, (job.value(name, "duv") + 0.02) / 0.04
        assert all(abs(a - b) < 1e-3 for a, b in zip(wire, asked)), (name, wire, asked)


def check(job):
    """The finished scene."""
    app = job.app
    check_rig(job)
    check_meter(job)
    check_light(job)
    assert app.show.looks.names()[:3] == ["Look 1", "Look 2", "Look 3"] and len(app.show.looks) == 4
    steps = app.machines.running_order().order.steps
    assert [app.show.looks.name_of(step[1]) for step in steps] == ["Look 1", "Look 2", "Look 3"]
    saved = app.machines.effects().saved
    assert [(e[0], e[6]) for e in saved] == [("Candle", [job.find("Background").uid])]
    assert len(Slate(app.show)) == 1
    if len(app.board.lines) > 1:
        assert job.b.frame[300:400] == bytes(range(1, 101))
    assert app.board.disk.list("captures") and app.locked


def counts(panel):
    """({part: gestures}, {part: detents}) of the whole job on that panel. Errors: AssertionError where something is not
    as it should be."""
    job = Job(panel)
    for part in PARTS:
        job.begin(part.__name__)
        part(job)
    job.rest()
    check(job)
    return job.parts, job.detents


def figures():
    """Gestures on both panels, and by part; the detents too."""
    out = {"parts": {}, "detents": {}}
    for panel in PANELS:
        parts, detents = counts(panel)
        out[panel] = sum(parts.values())
        out["parts"][panel], out["detents"][panel] = parts, detents
    out["note"] = "from an empty device; one push, hold, tap, or turn of at most 24 detents each"
    return out
