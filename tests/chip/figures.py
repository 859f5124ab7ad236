"""The figures that are taken on the emulated chip, their goals, and the table of them.

A time is from the edge of a pin (power, the knob's last edge of a detent, a key's edge) to the edge at which a packet's
break begins, unless its words say another thing.
"""


class Figure:
    """words and unit; goal: a number or None, {show: number} where it hangs on the show; least: True where more is
    better."""

    def __init__(self, words, unit="ms", goal=None, least=False):
        self.words, self.unit, self.goal, self.least = words, unit, goal, least

    def _goal(self, show):
        return self.goal.get(show) if isinstance(self.goal, dict) else self.goal

    def worse(self, one, other):
        """The worse of two values."""
        return min(one, other) if self.least else max(one, other)

    def holds(self, value, show):
        """True where the value meets the goal, or there is none."""
        goal = self._goal(show)
        return goal is None or (value >= goal if self.least else value <= goal)

    def goal_words(self, show=None):
        """The goal: "<= 30", or ""; without a show those of all."""
        sign = ">=" if self.least else "<="
        if show is None and isinstance(self.goal, dict):
            return ", ".join(f"{kind} {sign} {goal:,}" for kind, goal in self.goal.items())
        goal = self._goal(show)
        return "" if goal is None else f"{sign} {goal:,}"


FIGURES = {
    "first_packet_ms": Figure("power to the first packet", goal={"demo": 1000, "full": 1000}),
    "app_ms": Figure("power to the loop's first step", goal={"empty": 3000, "demo": 3000, "full": 4000}),
    "knob_ms_worst": Figure("knob to wire, page Light, single detents at random moments, worst", goal=30),
    "knob_ms_median": Figure("the same, median"),
    "turning_ms_worst": Figure("knob to wire, 20 s of turning at 20 detents a second, worst", goal=30),
    "dialling_ms_worst": Figure("knob to wire, 20 detents on each page and row that dials light, worst", goal=30),
    "step_ms_worst": Figure("a step of the loop, idle, turning or drawing, without collecting, worst", goal=6),
    "step_ms_99": Figure("the same, 99 in 100 are shorter"),
    "collect_ms": Figure("a collection of the heap, longest, to 2 ms"),
    "open_ms_worst": Figure("key to the loop's next step, a page opened or left, worst", goal=150),
    "drawn_ms_worst": Figure("key to the page drawn, worst"),
    "store_ms": Figure("the loop stands still while a look is stored", goal=60),
    "go_ms": Figure("key to levels moving, going to a look", goal=30),
    "colours_ms": Figure("key to the last lamp's colour moving, in a fade of 2 s", goal={"full": 500}),
    "tick_ms_worst": Figure("a step of the loop in that fade, without collecting, worst", goal={"full": 11}),
    "cut_ms": Figure("key to a cut (a fade of 0 s) on the wire", goal=400),
    "next_ms": Figure("foot switch to levels moving, next in the running order", goal=30),
    "next_first_ms": Figure("the same, the first after power-up"),
    "through_ms_worst": Figure("a desk's packet to the same value going out, worst", goal=23),
    "heap_free_light": Figure("heap free, page Light", "bytes", {"full": 65536}, least=True),
    "heap_free_worst_page": Figure("heap free on the page that needs most", "bytes", {"full": 49152}, least=True),
}

# The keys of `python -m tests.bench chip`: which figure, and of which show; of both panels the worse.
KEYS = {
    "first_packet_ms_demo": ("first_packet_ms", "demo"),
    "first_packet_ms_full": ("first_packet_ms", "full"),
    "app_ms_full": ("app_ms", "full"),
    "knob_ms_worst": (("knob_ms_worst", "turning_ms_worst", "dialling_ms_worst"), None),
    "step_ms_worst": ("step_ms_worst", None),
    "open_ms_worst": ("open_ms_worst", None),
    "go_ms_64": ("go_ms", "full"),
    "next_ms_64": ("next_ms", "full"),
    "tick_ms_worst_64": ("tick_ms_worst", "full"),
    "collect_ms": ("collect_ms", None),
    "heap_free_light_full": ("heap_free_light", "full"),
    "heap_free_worst_page": ("heap_free_worst_page", "full"),
}


def by_key(figures):
    """{key of KEYS: value, or None where it was not taken}. figures: Report.figures."""
    out = {}
    for key, (names, show) in KEYS.items():
        names = (names,) if isinstance(names, str) else names
        worst = None
        for (name, _board, kind), value in figures.items():
            if name in names and show in (None, kind):
                worst = value if worst is None else FIGURES[name].worse(worst, value)
        out[key] = worst
    return out


def table(figures):
    """The table as lines of Markdown: a column for each device that was measured, and the goal."""
    devices = sorted({at[1:] for at in figures})
    lines = ["| | goal | " + " | ".join(f"{board}, {show}" for board, show in devices) + " |",
             "|---|---" + "|---" * len(devices) + "|"]
    for key, figure in FIGURES.items():
        cells = [_cell(figure, figures.get((key, *device)), device[1]) for device in devices]
        if any(cells):
            words = figure.words + (f", {figure.unit}" if figure.unit else "")
            lines.append(f"| {words} | {figure.goal_words()} | " + " | ".join(cells) + " |")
    return lines


def _cell(figure, value, show):
    if value is None:
        return ""
    words = f"{value:,}"
    return words if figure.holds(value, show) else f"**{words}** (missed)"
