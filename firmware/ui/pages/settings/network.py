"""Where the feed comes from on a board with Wi-Fi: the cable, or a universe of sACN; the universe that the light goes
out as; the Wi-Fi that this is joined to.
Opened by Settings.
"""

from firmware.parts import once
from firmware.show import network_settings
from firmware.ui.frame.list_page import ListPage

_FROM, _WIFI, _PASSWORD, _UNIVERSE, _OUT, _STATE, _SIGNAL, _SENDERS = (
    "Feed comes by", "Wi-Fi name", "Password", "Universe in", "Universe out", "Wi-Fi is", "Signal", "Senders")
_KEYS = {_FROM: "on", _WIFI: "wifi", _PASSWORD: "password", _UNIVERSE: "universe", _OUT: "out"}


class Page(ListPage):
    """The feed's code is loaded while it is open, which is what asks the radio."""

    title = "Network"
    parent = "settings"
    live = True
    remember = "network"
    items = (_FROM, _WIFI, _PASSWORD, _UNIVERSE, _OUT, _STATE, _SIGNAL, _SENDERS)

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.settings, fault = network_settings.load(app.board.disk)
        if fault:
            app.shelf.faults.append(fault)
        self.was = 0  # a universe before the knob dialled it

    def row(self, item):
        settings, source = self.settings, self.app.input
        if item == _FROM:
            return item, "sACN" if settings["on"] else "cable"
        if item == _WIFI:
            return item, settings["wifi"] or "none"
        if item == _PASSWORD:
            return item, "kept" if settings["password"] else "none"
        if item == _UNIVERSE:
            return item, "%d" % settings["universe"]
        if item == _OUT:
            return item, "%d" % settings["out"] if settings["out"] else "none"
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
        if item == _FROM:
            if app.try_to(put, app, "on", 1 - self.settings["on"]):
                self.settings["on"] = 1 - self.settings["on"]
        elif item in (_WIFI, _PASSWORD):
            app.open("network_text", _KEYS[item], item, self.settings[_KEYS[item]])
        elif item in (_UNIVERSE, _OUT):
            self.was = self.settings[_KEYS[item]]
            self.start_dialling()
        elif item == _SENDERS and hasattr(app.input, "radio"):
            app.open("network_sources", "network")

    def dial(self, item, detents):
        key = _KEYS[item]
        least = 1 if key == "universe" else 0
        self.settings[key] = max(least, min(network_settings.UNIVERSE_LAST, self.settings[key] + detents))

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
        else:
            source.join()
