"""The name and the password of a Wi-Fi by the knob, letter by letter: the page that names things, with all the signs
that a password may have. Opened by Network.
"""

from firmware.parts import once
from firmware.show import network_settings
from firmware.ui.pages import name

_WORDS = ["Studio", "Stage", "Light", "Guest"]


class Page(name.Page):
    """key: "wifi" or "password"; title: what it is, in words; old: the one before."""

    letters = name.Page.letters + "_!?#$%*@=:;,()[]{}<>~^|\"`\\"  # with those of a name, all of printable ASCII
    apart = ""

    def __init__(self, app, key, title, old):
        name.Page.__init__(self, app, key, old, ("network",), once, "firmware.ui.pages.settings.network", "put", app,
                           key)
        self.title = title
        if key == "wifi":
            self._ready = _WORDS
            self.most = network_settings.WIFI_MOST
        else:
            self.most = network_settings.PASSWORD_MOST

    def _finish(self):
        if self.app.try_to(self._verb, *self._args + (self.name,), said=self.title + " kept"):
            self._done = True
            self.app.open(*self.then)
