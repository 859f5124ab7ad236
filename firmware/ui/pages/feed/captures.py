"""The captures on the device: play one, or record another. Opened by Feed."""

from firmware.show import captures
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times
from firmware.ui.pages.feed import feed_control

_RECORD, _STOP = "+ Record the feed", "Stop playing"


class Page(ListPage):
    """A push plays a capture; holding the knob opens what else can be done with it."""

    title = "Captures"
    parent = "feed"
    remember = "captures"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.disk = app.board.disk
        self.player = app.feed.player
        self.about = {}  # number: (name, length in words), as they come into sight
        self.items = ([_STOP] if self.player else []) + [_RECORD] + captures.numbers(self.disk)

    def row(self, item):
        if item is _STOP:
            return item, self.player.name
        if item is _RECORD:
            return item, ""
        if item not in self.about:
            data, fault = captures.about(self.disk, item)
            self.app.shelf.faults += [fault] if fault else []
            ms = (data["end"] or data["ms"]) - data["start"]
            self.about[item] = data["name"], times.clock(ms) if data["ms"] else ""
        return self.about[item]

    def choose(self, item):
        app = self.app
        if item is _STOP:
            feed_control.play(app, 0)
            app.open("captures")
        elif item is _RECORD:
            app.open("capture_record")
        elif app.try_to(feed_control.play, app, item):
            app.open("capture_play")

    def hold(self):
        if isinstance(self.item(), int):
            self.app.open("capture_settings", self.item())

    def list_hint(self):
        item = self.item()
        if item is _RECORD or item is _STOP:
            return ("turn", "choose"), ("push", "open" if item is _RECORD else "stop"), ("back", "Feed")
        return ("turn", "choose"), ("push", "play"), ("hold", "more"), ("back", "Feed")
