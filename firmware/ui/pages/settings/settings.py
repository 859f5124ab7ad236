"""The Settings page, for the device itself: settings, supply and storage, and the pages of shows, self-test, faults and
about.
"""

from firmware.parts import once
from firmware.show import shelf_edit
from firmware.ui.frame.list_page import ListPage

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
    ("Fast turns", "quick", ("same", "larger", "largest")),
    ("Clicks a step", "per", (1, 4)),
    ("Knob turned right", "turn", None),
    ("Hold back", "lock", ("does nothing", "locks")),
    ("Sound", "sound", ("off", "on")),
)
_PORT = ("Port 2", "port2", ("listens", "sends"))  # on boards whose second port may do either
_OFF, _DARK, _BATTERY, _STORAGE, _NETWORK = "Screen off now", "Starts", "Supply", "Storage", "Network"
_PAGES = {"Shows": "shows", _NETWORK: "network", _STORAGE: "storage", "Self-test": "selftest", "Faults": "faults",
          "About": "about"}


class Page(ListPage):
    """A push on a setting lets the knob dial it. What is dialled holds at once, and is saved with the next push."""

    title = "Settings"
    remember = "settings"

    def __init__(self, app):
        ListPage.__init__(self, app)
        port = [_PORT] if hasattr(app.board, "outs") else []
        self.items = ([_OFF] + list(_SETTINGS[:4]) + ["Shows"] + list(_SETTINGS[4:]) + port
                      + [_DARK, _BATTERY] + ([_NETWORK] if hasattr(app.board, "radio") else [])
                      + [_STORAGE, "Self-test", "Faults", "About"])
        self.was = 0  # the value before the knob dialled it
        self.room = shelf_edit.free(app.shelf)

    def close(self):
        self.dialling = False  # what is dialled holds, also without the push that saves it
        ListPage.close(self)

    def list_hint(self):
        item = self.item()
        does = "open" if item in _PAGES else "screen off" if item == _OFF else "change"
        push = () if item == _BATTERY else (("push", does),)
        return (("turn", "choose"),) + push + (("back", "pages"),)

    def row(self, item):
        app = self.app
        if not isinstance(item, str):
            words = _words(item, app.settings[item[1]])
            return item[0], words + " next start" if item is _PORT and self._waits() else words
        if item == _DARK:
            return item, "dark" if app.shelf.settings["dark"] else "as it was"
        if item == _BATTERY:
            power = app.board.power
            mv = power.battery_mv()
            words = app.battery.words() if app.battery else "USB" if power.usb() else "battery"
            return item, words + ("  %.2f V" % (mv / 1000) if mv else "")
        if item == _STORAGE:
            return item, "%d blocks free" % (self.room[0] // 4096)
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
            self.start_dialling()

    def dial(self, item, detents):
        _label, key, values = item
        settings, step = self.app.settings, 1 if detents > 0 else -1
        if key == "turn":
            settings[key] = -settings[key]
        elif values is None:
            at = _SECONDS.index(settings[key]) if settings[key] in _SECONDS else 0
            settings[key] = _SECONDS[max(0, min(len(_SECONDS) - 1, at + step))]
        elif isinstance(values[0], str):
            settings[key] = max(0, min(len(values) - 1, settings[key] + step))
        else:
            settings[key] = max(values[0], min(values[1], settings[key] + detents))

    def accept(self, item):
        app = self.app
        if app.try_to(app.set_setting, item[1], app.settings[item[1]]) and item is _PORT and self._waits():
            app.say("Push: restart now. Else at the next start", None, once, "firmware.app_ports", "restart", app)

    def _waits(self):
        """True where port 2 does not yet do what is chosen."""
        return self.app.settings["port2"] + 1 != self.app.board.outs

    def cancel(self, item):
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
