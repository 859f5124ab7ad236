"""How many gestures the common jobs take: each is done by gestures alone, counted, and its outcome checked.

A gesture is one push, one hold, one tap of a key, or one uninterrupted turn (pushed or not). Each job starts as the
device does after power-up: five lamps, the Light page, the first lamp and its level under the knob. Eyes are allowed:
the script looks at the open page to see how far to turn.
"""

from firmware.show import rig_edit
from firmware.show.meter_readings import Readings
from firmware.show.slate import Slate
from sim import Bench

LAMPS = (("Key", "tint16"), ("Fill", "white"), ("Back", "full16"), ("Side", "rgbww"), ("Practical", "dim"))


class Counted:
    """A Bench whose gestures are counted."""

    def __init__(self, board):
        self.b = Bench(board=board, show=None)
        show = self.b.app.show
        for name, kind in LAMPS:
            show.rig.add(kind, name)
        show.save_rig()
        for f in show.rig.fixtures:
            self.b.app.stage.dial(f, level=0.5, cct=3200)
        for name in ("Day", "Night", "Dusk"):
            self.b.app.stage.store(name)
            self.b.app.stage.dial("Key", level=0.25)
        self.b.run(5)  # the light is kept
        self.b.cut_power()
        self.b.boot()
        self.b.run(0.5)
        self.count = 0

    @property
    def app(self):
        return self.b.app

    def do(self, gesture, *args):
        """One gesture."""
        self.count += 1
        getattr(self.b, gesture)(*args)
        self.b.run(0.1)

    def turn_to(self, text):
        """Turn a list to the row of that text."""
        page = self.app.page
        names = [page.row(item)[0] for item in page.items]
        if names.index(text) != page.at:
            self.do("turn", names.index(text) - page.at)

    def lamp(self, name):
        """On the Light page: push and turn to a row."""
        page = self.app.page
        names = [getattr(item, "name", item) for item in page.items]
        self.do("push_turn", names.index(name) - page.at)

    def level(self, name):
        """A lamp's level now."""
        return self.app.stage.value(self.app.show.rig.find(name), "level")


def key_down_half_stop(d):
    """The first lamp, Key, down half a stop."""
    before = d.level("Key")
    d.do("turn", -5)
    return abs(d.level("Key") / before - 0.5 ** 0.5) < 0.001


def all_to_4300(d):
    """All lamps that have a white to 4300 K."""
    d.lamp("All lamps")
    d.do("press")
    d.do("turn", (4300 - 3200) // 50)
    return all(d.app.stage.value(f, "cct") == 4300 for f in d.app.show.rig.fixtures if f.personality.has("cct"))


def store_new_look(d):
    """The light that is on as a new look."""
    d.do("hold", "push")
    d.turn_to("Store new look")
    d.do("press")
    d.do("press")
    return d.app.show.looks.names()[-1] == "Look 4"


def go_in_5_s(d):
    """To another look in five seconds."""
    d.do("tap", "look")
    d.turn_to("Night")
    d.b.run(0.5)
    seconds = 2.0
    d.do("push_turn", int((5 - seconds) / 0.5))
    d.do("press")
    return d.app.stage.look == "Night" and 4000 < d.app.stage.left() <= 5000


def blackout_and_back(d):
    """All dark, and the light back. Dark is told by the slots that carry light: white stays as it is."""
    lights = [d.app.show.rig.find(name).address - 1 for name in ("Key", "Fill", "Back", "Practical")]
    lit = d.b.frame
    d.do("tap", "black")
    dark = d.b.frame
    d.do("tap", "black")
    return all(lit[n] for n in lights) and not any(dark[n] for n in lights) and d.b.frame == lit


def add_at_next_address(d):
    """One more lamp of a generic kind, behind the others."""
    end = d.app.show.rig.fixtures[-1].last()
    d.do("tap", "back")
    d.turn_to("Rig")
    d.do("press")
    d.turn_to("+ Add a lamp")
    d.do("press")
    d.turn_to("RGB")
    d.do("press")
    added = d.app.show.rig.fixtures[-1]
    return len(d.app.show.rig) == 6 and added.address == end + 1 and added.personality.id == "rgb"


def rename_to_kicker(d):
    """A lamp that is not under the knob gets the name Kicker."""
    d.lamp("Side")
    d.do("hold", "push")
    d.turn_to("Name")
    d.do("press")
    page = d.app.page
    d.do("turn", [page.choice(k) for k in range(page.count())].index("Kicker") - page.at)
    d.do("hold", "push")
    return d.app.show.rig.fixtures[3].name == "Kicker"


def exempt_one(d):
    """A lamp that is not under the knob no longer follows the master."""
    d.lamp("Practical")
    d.do("hold", "push")
    d.turn_to("Master")
    d.do("press")
    d.app.stage.master = 0
    d.b.run(0.1)
    address = d.app.show.rig.find("Practical").address
    return d.app.show.rig.find("Practical").trims.get("free") and d.b.frame[address - 1] > 0 and d.b.frame[0] == 0


def log_a_take(d):
    """The next take with the light that is on."""
    d.do("tap", "back")
    d.do("hold", "push")
    return len(Slate(d.app.show)) == 1


def next_in_running_order(d):
    """By the foot switch, from whatever page is open; on the page Run a push does the same."""
    names = ("Dusk", "Night")  # Dusk is on
    d.app.machines.running_order().order.fill([d.app.show.looks.number(name) for name in names])
    d.app.machines.stop_running_order()
    d.do("tap", "foot")
    return d.app.stage.look == "Night" and d.app.stage.left() > 0


def key_to_t28(d):
    """A key lamp that was measured once, set to T2.8 at the mark."""
    key = d.app.show.rig.find("Key")
    Readings(d.app.show).add(key, 480, 65536)  # T5.6 at full, ISO 800, 1/48 s
    d.do("tap", "back")
    d.turn_to("Meter")
    d.do("press")
    d.do("press")
    at = [d.app.page.row(key)[1]]
    while not at[-1].startswith("T2.8 ") and len(at) < 20:  # an eye on the screen: one turn, as far as it takes
        d.b.turn(-1 if at[0].startswith(("T4", "T5.6")) else 1)
        at.append(d.app.page.row(key)[1])
    d.count += 1
    readings = Readings(d.app.show)
    return abs(readings.stop(readings.lux_now(d.app.stage, key)) - 8 ** 0.5) < 0.01


def lightning_on_the_window(d):
    """Lightning on a lamp that is not under the knob."""
    window = d.app.show.rig.find("Side")
    rig_edit.rename(d.app.show.rig, window, "Window")
    d.do("tap", "back")
    d.turn_to("Effects")
    d.do("press")
    page = d.app.page
    d.do("push_turn", [name for name, _uids in page.targets].index("Window") - page.aim)
    d.turn_to("+ Lightning")
    d.do("press")
    running = d.app.stage.effects.running
    return [run.effect[0] for run in running] == ["Lightning"] and running[0].effect[6] == [window.uid]


JOBS = (key_down_half_stop, all_to_4300, store_new_look, go_in_5_s, blackout_and_back, add_at_next_address,
        rename_to_kicker, exempt_one, log_a_take, next_in_running_order, key_to_t28, lightning_on_the_window)
GOALS = (3, 6, 3, 5, 2, 8, 6, 6, 2, 1, 5, 5)


def counts(board):
    """{job: gestures}. Errors: AssertionError where a job was not done at the end of them."""
    out = {}
    for job in JOBS:
        d = Counted(board)
        assert job(d), f"{job.__name__} on {board}: {d.count} gestures, and it is not done: {d.b.lines}"
        out[job.__name__] = d.count
    return out


def figures():
    """One key a job, on the colour panel; the small panel must need the same."""
    out = counts("pico2_tft")
    assert counts("pico_oled") == out
    out["note"] = "from power-up's state: first lamp, level under the knob; the same counts on both panels"
    return out
