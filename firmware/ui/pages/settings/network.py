"""Where the feed comes from on a board with Wi-Fi: the cable, or a universe of sACN too, and which wins where both
come; the universe that the light goes out as, and its priority; the Wi-Fi that this is joined to. Opened by Settings.
"""

from firmware.parts import once
from firmware.show import network_settings
from firmware.ui.frame.list_page import ListPage

_FROM, _FIRST, _WIFI, _PASSWORD, _UNIVERSE, _OUT, _PRIORITY, _STATE, _SIGNAL, _SENDERS = (
    "Feed comes by", "If both come", "Wi-Fi name", "Password", "Universe in", "Universe out", "Priority out",
    "Wi-Fi is", "Signal", "Senders")
_KEYS = {_FROM: "on", _FIRST: "first", _WIFI: "wifi", _PASSWORD: "password", _UNIVERSE: "universe", _OUT: "out",
         _PRIORITY: "priority"}
# What the knob dials: the least and the most.
_RANGES = {_UNIVERSE: (1, network_settings.UNIVERSE_LAST), _OUT: (0, network_settings.UNIVERSE_LAST),
           _PRIORITY: (0, network_settings.PRIORITY_MOST)}


class Page(ListPage):
    """The feed's code is loaded while it is open, which is what asks the radio."""

    title = "Network"
    parent = "settings"
    live = True
    remember = "network"

    def __init__(self, app):
        ListPage.__init__(self, app)
        lines = app.board.lines
        self.cable = len(lines) > 1 and lines[1].has_input
        self.items = [_FROM] + ([_FIRST] if self.cable else []) + [
            _WIFI, _PASSWORD, _UNIVERSE, _OUT, _PRIORITY, _STATE, _SIGNAL, _SENDERS]
        self.settings, fault = network_settings.load(app.board.disk)
        if fault:
            app.shelf.faults.append(fault)
        self.was = 0  # a number before the knob dialled it

    def row(self, item):
        settings, source = self.settings, self.app.input
        if item == _FROM:
            return item, ("both" if self.cable else "sACN") if settings["on"] else "cable"
        if item == _FIRST:
            return item, "sACN wins" if settings["first"] else "cable wins"
        if item == _WIFI:
            return item, settings["wifi"] or "none"
        if item == _PASSWORD:
            return item, "kept" if settings["password"] else "none"
        if item == _UNIVERSE:
            return item, "%d" % settings["universe"]
        if item == _OUT:
            return item, "%d" % settings["out"] if settings["out"] else "none"
        if item == _PRIORITY:
            return item, "%d of 0-%d" % (settings["priority"], network_settings.PRIORITY_MOST)
        if not hasattr(source, "radio"):
            return item, "off" if item == _STATE else ""
        if item == _STATE:
            return item, source.word()
        if item == _SIGNAL:
            dbm = source.radio.signal()
            return item, "" if dbm is None else "%d dBm" % dbm
        return item, "%d" % len(source.sources.sources)

    def list_hint(self):
        item = self.item()
        push = "open" if item in (_WIFI, _PASSWORD, _SENDERS) else "change"
        return (("turn", "choose"),) + ((("push", push),) if item not in (_STATE, _SIGNAL) else ()) + (
            ("back", "Settings"),)

    def choose(self, item):
        app = self.app
        if item in (_FROM, _FIRST):
            key = _KEYS[item]
            if app.try_to(put, app, key, 1 - self.settings[key]):
                self.settings[key] = 1 - self.settings[key]
        elif item in (_WIFI, _PASSWORD):
            app.open("network_text", _KEYS[item], item, self.settings[_KEYS[item]])
        elif item in _RANGES:
            self.was = self.settings[_KEYS[item]]
            self.start_dialling()
        elif item == _SENDERS and hasattr(app.input, "radio"):
            app.open("network_sources", "network")

    def dial(self, item, detents):
        key = _KEYS[item]
        least, most = _RANGES[item]
        self.settings[key] = max(least, min(most, self.settings[key] + detents))

    def accept(self, item):
        self.app.try_to(put, self.app, _KEYS[item], self.settings[_KEYS[item]])

    def cancel(self, item):
        self.settings[_KEYS[item]] = self.was


def put(app, key, value):
    """Change one of the settings and keep it; it holds at once. Errors: OSError(ENOSPC): it is as it was."""
    settings = network_settings.load(app.board.disk)[0]
    settings[key] = value
    network_settings.save(app.board.disk, settings)
    source = app.input
    if key in ("on", "out"):
        once("firmware.feed_sources", "choose", app)
    elif hasattr(source, "radio"):
        source.settings = settings
        if key == "universe":
            source.listen_to(value)
        elif key == "priority" and source.out:
            source.out.sender.weigh(value)
        elif key in ("wifi", "password"):
            source.join()
