"""The captures on the device: play one, record another."""

from firmware.show import captures
from firmware.ui.feedwords import clock
from firmware.ui.page import Choice

_RECORD, _STOP = "+ Record the feed", "Stop playing"


class Page(Choice):
    """Push plays a capture, hold opens what can be done with it."""

    title = "Captures"
    uses = ("feedwords",)
    memory = "captures"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.disk = app.board.disk
        self.player = app.intake("take").player
        self.about = {}  # number: (name, length in words), as they come into sight
        self.items = ([_STOP] if self.player else []) + [_RECORD] + captures.numbers(self.disk)

    def row(self, item):
        if item is _STOP:
            return item, self.player.name
        if item is _RECORD:
            return item, ""
        if item not in self.about:
            data = captures.about(self.disk, item)[0]
            ms = (data["end"] or data["ms"]) - data["start"]
            self.about[item] = data["name"], clock(ms) if data["ms"] else ""
        return self.about[item]

    def choose(self, item):
        app = self.app
        if item is _STOP:
            app.intake("play", 0)
            app.open("captures")
        elif item is _RECORD:
            app.open("record")
        elif app.try_to(app.intake, "play", item):
            app.open("play")

    def hold(self):
        if isinstance(self.item(), int):
            self.app.open("capture", self.item())

    def hint(self):
        item = self.item()
        if item is _RECORD or item is _STOP:
            return ("turn", "choose"), ("push", "open" if item is _RECORD else "stop"), ("back", "Feed")
        return ("turn", "choose"), ("push", "play"), ("hold", "more"), ("back", "Feed")

    def leave(self):
        self.app.open("feed")
