"""The device itself: screen, knob, units, lock, sound; battery and storage; the way to shows, faults and about."""

from firmware.show import shelf_edit
from firmware.ui.frame.page import Choice

_SECONDS = (0, 10, 30, 60, 120, 300, 900)
# Label, key of the setting, and its values: words for 0, 1, ..., or (lowest, highest), or seconds.
_SETTINGS = (
    ("Brightness", "light", (1, 100)),
    ("Dims to", "dim", (1, 100)),
    ("Dims after", "dim_s", None),
    ("Off after", "off_s", None),
    ("Level in", "level", ("tenths of a stop", "thirds", "halves", "per cent")),
    ("White in", "white", ("kelvin", "mired")),
    ("Green in", "green", ("Duv", "fractions")),
    ("Fast turning", "quick", ("as slow", "quicker", "quickest")),
    ("Detents a step", "per", (1, 4)),
    ("Knob turned right", "turn", None),
    ("Hold back", "lock", ("does nothing", "locks")),
    ("Sound", "sound", ("off", "on")),
)
_OFF, _DARK, _BATTERY, _STORAGE = "Screen off now", "Starts", "Power", "Storage"
_PAGES = {"Shows": "shows", "Self-test": "selftest", "Faults": "faults", "About": "about"}


class Page(Choice):
    """Push on a setting lets the knob dial it; what is dialled holds at once and is kept with the next push."""

    title = "Kit"
    memory = "kit"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = ([_OFF] + list(_SETTINGS[:4]) + ["Shows"] + list(_SETTINGS[4:])
                      + [_DARK, _BATTERY, _STORAGE, "Self-test", "Faults", "About"])
        self.was = 0
        self.room = shelf_edit.free(app.shelf)

    def hint(self):
        item = self.item()
        if self.gripped:
            return Choice.hint(self)
        does = "open" if item in _PAGES else "do it" if item == _OFF else "change"
        push = () if item in (_BATTERY, _STORAGE) else (("push", does),)
        return (("turn", "choose"),) + push + (("back", "pages"),)

    def row(self, item):
        app = self.app
        if not isinstance(item, str):
            return item[0], _words(item, app.settings[item[1]])
        if item == _DARK:
            return item, "dark" if app.shelf.settings["dark"] else "as it was"
        if item == _BATTERY:
            power = app.board.power
            mv = power.battery_mv()
            said = app.battery.words() if app.battery else "USB" if power.usb() else "battery"
            return item, said + ("  %.2f V" % (mv / 1000) if mv else "")
        if item == _STORAGE:
            return item, "%d KB free" % (self.room[0] // 1024)
        if item == "Shows":
            return item, app.show.name
        return item, ""

    def choose(self, item):
        app = self.app
        if item in _PAGES:
            app.open(_PAGES[item])
        elif item == _OFF:
            app.screen.sleep()
        elif item == _DARK:
            app.try_to(app.shelf.set, "dark", not app.shelf.settings["dark"])
        elif not isinstance(item, str):
            self.was = app.settings[item[1]]
            self.grip()

    def dial(self, item, detents):
        _label, key, values = item
        kit, step = self.app.settings, 1 if detents > 0 else -1
        if key == "turn":
            kit[key] = -kit[key]
        elif values is None:
            at = _SECONDS.index(kit[key]) if kit[key] in _SECONDS else 0
            kit[key] = _SECONDS[max(0, min(len(_SECONDS) - 1, at + step))]
        elif isinstance(values[0], str):
            kit[key] = max(0, min(len(values) - 1, kit[key] + step))
        else:
            kit[key] = max(values[0], min(values[1], kit[key] + detents))

    def dialled(self, item):
        self.app.try_to(self.app.set_setting, item[1], self.app.settings[item[1]])

    def undial(self, item):
        self.app.settings[item[1]] = self.was


def _words(item, value):
    """A setting's value in words."""
    _label, key, values = item
    if key == "turn":
        return "more" if value > 0 else "less"
    if values is None:
        return "never" if not value else "%d min" % (value // 60) if value >= 60 else "%d s" % value
    if isinstance(values[0], str):
        return values[value]
    return "%d %%" % value if values[1] == 100 else "%d" % value
