"""What happens when the feed is lost: hold its last frame, or go to a look in a set time."""

from firmware.ui.frame.page import Choice
from firmware.ui.pages.feed import feed_control
from firmware.ui.pages.feed.feed_words import dialled_ms

_TIME, _HOLD = "Fade there in", "Hold its last frame"


class Page(Choice):
    """Push chooses; the mark shows what is chosen. Opened from Feed."""

    title = "When lost"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.settings = app.feed.settings
        self.items = [_HOLD] + app.show.looks.names() + [_TIME]
        self.was = 0

    def row(self, item):
        if item is _TIME:
            return item, "%g s" % (self.settings["lost_ms"] / 1000)
        return item, "this" if self._number(item) == self.settings["lost"] else ""

    def _number(self, item):
        return 0 if item is _HOLD else self.app.show.looks.number(item)

    def choose(self, item):
        if item is _TIME:
            self.was = self.settings["lost_ms"]
            self.grip()
        else:
            self.settings["lost"] = self._number(item)
            self.app.try_to(feed_control.keep, self.app)

    def dial(self, item, detents):
        self.settings["lost_ms"] = dialled_ms(self.settings["lost_ms"], detents)

    def dialled(self, item):
        self.app.try_to(feed_control.keep, self.app)

    def undial(self, item):
        self.settings["lost_ms"] = self.was

    def hint(self):
        if self.gripped:
            return Choice.hint(self)
        return ("turn", "choose"), ("push", "change" if self.item() is _TIME else "take it"), ("back", "Feed")

    def close(self):
        if self.gripped:
            self.undial(self.item())
        Choice.close(self)

    def leave(self):
        self.app.open("feed")
