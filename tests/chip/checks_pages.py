"""Every page opened by hand, and left."""

from firmware.ui.frame.gestures import HOLD_MS
from tests.chip.checks_start import steps
from tests.ui import hand

HOLD, PUSH, NEXT = object(), object(), object()  # of the row that is chosen; turn to the next row
# From the list of pages: the row to push, or what to do on the page that is open then.
WAYS = (
    ("Light", HOLD, "Name"), ("Light", HOLD, "Pick lamps"),
    ("Looks", HOLD, "Crossfade by hand"), ("Looks", "+ Store new look"),
    ("Run", NEXT, HOLD), ("Run", "+ Add looks"),
    ("Effects", "Flash limit"),
    ("Feed", "Signal"), ("Feed", "When lost"), ("Feed", "Captures", "+ Record the feed"),
    ("Meter", HOLD, "Measure its dimming"),
    ("Slate", "Log take 1", "Light of a set-up"),
    ("Rig", PUSH, "Kind"), ("Rig", "Set-up sheet"), ("Rig", "Map of slots"), ("Rig", "Groups"), ("Rig", "Power"),
    ("Settings", "Shows", PUSH), ("Settings", "Self-test"), ("Settings", "Faults"), ("Settings", "About"),
    ("Effects", "+ Candle", HOLD),  # the last, since it leaves an effect on
)
MOVING = {"selftest": 0.2, "about": 0.1, "effects": 0.1, "effect_settings": 0.1, "feed": 0.1, "feed_counts": 0.1,
          "settings": 0.1, "faults": 0.1}  # pages that show a time, a room, a count: the share that may differ
_FOOT = 0.03  # of other pages: a message at the foot comes and goes a little earlier or later; a row is 10 % and more
_QUIET_NS = 40_000_000  # so long without a byte to the panel, and the page is drawn
_ACTS_NS = 60_000_000  # a key acts in a step that begins within so much; a later one collects, or keeps something


class Tour:
    """A device whose gestures are measured where they open a page. seen: {page: share of the panel that differs};
    opened, drawn: {page: ms}, the longest; free: {page: bytes}, the least."""

    def __init__(self, device):
        self.device, self.seen, self.opened, self.drawn, self.free = device, {}, {}, {}, {}
        self.drawing = []  # the steps after a page was opened
        self.stuck = []  # the pages at whose opening the loop stood still for seconds

    @property
    def app(self):
        return self.device.app

    def turn(self, detents):
        """Turn the knob: fast through a long list."""
        self.device.turn(detents, 12 if abs(detents) > 8 else 40)
        self.device.run(60)

    def press(self):
        self._measure(self.device.press, 0)

    def tap(self, name):
        self._measure(lambda: self.device.tap(name), 0)

    def hold(self):
        self._measure(self.device.hold, HOLD_MS - 800)

    def _measure(self, gesture, later_ms):
        """Make a gesture, and look at what it opens. later_ms: from the key's release to when it acts."""
        before, device = self.app.page, self.device
        device.glass.look()
        edge = gesture() + later_ms * 1_000_000
        if self.app.page is before:
            return
        page = self.app.page_name
        taken = [step for step in device.steps(edge - 2_000_000_000) if step.ns + step.ms * 1e6 > edge]
        acting = [step for step in taken if step.ns < edge + _ACTS_NS] or taken[:1]
        if not acting:
            self.stuck.append(page)
            return
        opening = max(acting, key=lambda step: step.ms)
        looped = opening.ns + opening.ms * 1e6
        self._keep(page, edge, looped, device.glass.look())
        self.drawing += device.steps(looped)
        self.free[page] = min(self.free.get(page, 1 << 30), device.heap.free_if_collected())
        self.seen[page] = max(self.seen.get(page, 0), device.differs())

    def _keep(self, page, edge, looped, sent):
        after = [ns for ns in sent if ns >= looped]
        done = after[0] if after else looped
        for ns in after:
            if ns - done > _QUIET_NS:
                break
            done = ns
        self.opened[page] = max(self.opened.get(page, 0), (looped - edge) / 1e6)
        self.drawn[page] = max(self.drawn.get(page, 0), (done - edge) / 1e6)


def tour(report, device, named):
    """All pages that are in reach without a feed."""
    walk = Tour(device)
    for way in WAYS:
        _pages(walk)
        for step in way:
            if step is HOLD:
                walk.hold()
            elif step is PUSH:
                walk.press()
            elif step is NEXT:
                walk.turn(1)
            else:
                hand.pick(walk, step)
    _pages(walk)
    _tell(report, walk, named)


def _pages(walk):
    """Back to the list of pages."""
    for _ in range(8):
        if walk.app.page_name == "home":
            return
        walk.tap("back")
    raise AssertionError(f"back does not lead from {walk.app.page_name} to the list of pages")


def _tell(report, walk, named):
    report.check("the loop ran at each page's opening", not walk.stuck, walk.stuck or "always")
    wrong = {page: f"{share:.1%}" for page, share in walk.seen.items() if share > MOVING.get(page, _FOOT)}
    report.check(f"{len(walk.seen)} pages opened and left are on the panel as in the simulator", not wrong,
                 wrong or ", ".join(sorted(walk.seen)))
    slowest = max(walk.opened, key=walk.opened.get)
    report.figure("open_ms_worst", named, walk.opened[slowest], f"[{slowest}]")
    slowest = max(walk.drawn, key=walk.drawn.get)
    report.figure("drawn_ms_worst", named, walk.drawn[slowest], f"[{slowest}]")
    steps(report, named, walk.drawing, "drawing pages")
    fullest = min(walk.free, key=walk.free.get)
    report.figure("heap_free_worst_page", named, walk.free[fullest], f"[{fullest}]")
