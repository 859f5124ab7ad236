"""Where the feed comes from on a board with Wi-Fi: the cable, or a universe of sACN too, and which wins where both
come; the universe that the light goes out as, and its priority; the Wi-Fi that this is joined to, or makes itself.
Opened by Settings.
"""

from firmware.parts import once
from firmware.show import network_settings
from firmware.ui.frame.list_page import ListPage

_FROM, _FIRST, _WIFI, _PASSWORD, _UNIVERSE, _OUT, _PRIORITY, _STATE, _SIGNAL, _SENDERS = (
    "Feed comes by", "If both come", "Wi-Fi name", "Password", "Universe in", "Universe out", "Priority out",
    "Wi-Fi is", "Signal", "Senders")
_UNIVERSE2, _OUT2 = "Universe 2 in", "Universe 2 out"  # of the rig's second
_OWN, _OWN_NAME, _OWN_PASSWORD = "Own Wi-Fi", "Its name", "Passphrase"
_THERE = (_STATE, _SIGNAL, _OWN_NAME, _SENDERS)  # not settings, but what is there
_KEYS = {_FROM: "on", _FIRST: "first", _WIFI: "wifi", _PASSWORD: "password", _UNIVERSE: "universe", _OUT: "out",
         _UNIVERSE2: "universe2", _OUT2: "out2", _PRIORITY: "priority", _OWN: "own"}
# What the knob dials: the least and the most.
_RANGES = {_UNIVERSE: (1, network_settings.UNIVERSE_LAST), _OUT: (0, network_settings.UNIVERSE_LAST),
           _UNIVERSE2: (0, network_settings.UNIVERSE_LAST), _OUT2: (0, network_settings.UNIVERSE_LAST),
           _PRIORITY: (0, network_settings.PRIORITY_MOST)}


class Page(ListPage):
    """The feed's code is loaded while it is open, which is what asks the radio."""

    title = "Network"
    parent = "settings"
    live = True
    remember = "network"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.cable = once("firmware.feed_sources", "cable", app.board) is not None
        self.settings, fault = network_settings.load(app.board.disk)
        if fault:
            app.shelf.faults.append(fault)
        self.was = 0  # a number before the knob dialled it
        self._lay_out()

    def _lay_out(self):
        first = [_FIRST] if self.cable else []
        own = [_OWN_NAME, _OWN_PASSWORD] if self.settings["own"] else []
        self.items = [_FROM] + first + [_WIFI, _PASSWORD, _STATE, _SIGNAL, _OWN] + own + [
            _UNIVERSE, _SENDERS, _UNIVERSE2, _OUT, _OUT2, _PRIORITY]

    def row(self, item):
        return item, self._there(item) if item in _THERE else self._kept(item)

    def _kept(self, item):
        """What a setting is, in words."""
        settings = self.settings
        if item == _FROM:
            return ("both" if self.cable else "sACN") if settings["on"] else "cable"
        if item == _FIRST:
            return "sACN wins" if settings["first"] else "cable wins"
        if item == _WIFI:
            return settings["wifi"] or "none"
        if item == _PASSWORD:
            return "kept" if settings["password"] else "none"
        if item == _OWN:
            return "if none answers" if settings["own"] else "never"
        if item == _OWN_PASSWORD:
            return settings["own_password"]
        if item == _PRIORITY:
            return "%d of 0-%d" % (settings["priority"], network_settings.PRIORITY_MOST)
        return "%d" % settings[_KEYS[item]] if settings[_KEYS[item]] else "none"

    def _there(self, item):
        """What the network is like now, in words."""
        source = self.app.input
        if not hasattr(source, "radio"):
            return "off" if item == _STATE else ""
        if item == _STATE:
            return source.word()
        if item == _OWN_NAME:
            return once("firmware.network_own", "name", source.radio)
        if item == _SIGNAL:
            dbm = source.radio.signal()
            return "" if dbm is None else "%d dBm" % dbm
        return "%d" % len(source.sources.sources)

    def list_hint(self):
        item = self.item()
        push = "open" if item in (_WIFI, _PASSWORD, _SENDERS) else "try again" if item == _STATE else "change"
        if item in (_SIGNAL, _OWN_NAME, _OWN_PASSWORD):
            push = ""
        return (("turn", "choose"),) + ((("push", push),) if push else ()) + (("back", "Settings"),)

    def choose(self, item):
        app = self.app
        if item in (_FROM, _FIRST, _OWN):
            key = _KEYS[item]
            if app.try_to(put, app, key, 1 - self.settings[key]):
                self.settings = network_settings.load(app.board.disk)[0]
                self._lay_out()
        elif item in (_WIFI, _PASSWORD):
            app.open("network_text", _KEYS[item], item, self.settings[_KEYS[item]])
        elif item in _RANGES:
            self.was = self.settings[_KEYS[item]]
            self.start_dialling()
        elif hasattr(app.input, "radio"):
            if item == _SENDERS:
                app.open("network_sources", "network")
            elif item == _STATE:
                app.input.join()

    def dial(self, item, detents):
        key = _KEYS[item]
        least, most = _RANGES[item]
        self.settings[key] = max(least, min(most, self.settings[key] + detents))

    def accept(self, item):
        if not self.app.try_to(put, self.app, _KEYS[item], self.settings[_KEYS[item]]):
            self.cancel(item)

    def cancel(self, item):
        self.settings[_KEYS[item]] = self.was


def put(app, key, value):
    """Change one of the settings and keep it; it holds at once. Errors: ValueError: both universes of the rig would go
    out, or come in, as one; OSError(ENOSPC): it is as it was."""
    settings = network_settings.load(app.board.disk)[0]
    settings[key] = value
    if settings["out"] and settings["out"] == settings["out2"]:
        raise ValueError("Universe %d goes out already" % settings["out"])
    if settings["universe"] == settings["universe2"]:
        raise ValueError("Universe %d comes in already" % settings["universe"])
    if key == "own" and not settings["own_password"]:
        settings["own_password"] = once("firmware.network_own", "password")
    network_settings.save(app.board.disk, settings)
    source = app.input
    if key in ("on", "out", "out2"):
        once("firmware.feed_sources", "choose", app)
    elif hasattr(source, "radio"):
        source.settings = settings
        if key in ("universe", "universe2"):
            source.listen_to(key, value)
        elif key == "priority" and source.out:
            source.out.weigh(value)
        elif key in ("wifi", "password", "own"):
            source.join()
