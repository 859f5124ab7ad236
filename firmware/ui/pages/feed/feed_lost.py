"""What is done when the feed is lost: hold its last frame, or go to a look in a set time. Opened by Feed."""

from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times
from firmware.ui.pages.feed import feed_control

_TIME, _HOLD = "Fade there in", "Hold its last frame"


class Page(ListPage):
    """A push chooses; "this" stands in the row that is chosen."""

    title = "When lost"
    parent = "feed"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.settings = app.feed.settings
        self.items = [_HOLD] + app.show.looks.names() + [_TIME]
        self.was = 0

    def row(self, item):
        if item is _TIME:
            return item, times.seconds(self.settings["lost_ms"])
        return item, "this" if self._number(item) == self.settings["lost"] else ""

    def _number(self, item):
        """The number of a row's look in the show; 0: hold the frame, as for one that turned out to be damaged."""
        looks = self.app.show.looks
        return looks.number(item) if item is not _HOLD and looks.has(item) else 0

    def choose(self, item):
        if item is _TIME:
            self.was = self.settings["lost_ms"]
            self.start_dialling()
        else:
            self.settings["lost"] = self._number(item)
            self.app.try_to(feed_control.save_settings, self.app)

    def dial(self, item, detents):
        self.settings["lost_ms"] = times.dial_fade(self.settings["lost_ms"], detents)

    def accept(self, item):
        self.app.try_to(feed_control.save_settings, self.app)

    def cancel(self, item):
        self.settings["lost_ms"] = self.was

    def list_hint(self):
        return ("turn", "choose"), ("push", "change" if self.item() is _TIME else "take it"), ("back", "Feed")
