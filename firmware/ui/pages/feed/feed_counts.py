"""What the receiver has counted since power-up. Opened by Feed."""

from firmware.ui.frame.list_page import ListPage

# The receiver's counts (hal/contract.Line) in words.
_COUNTS = (
    ("Good packets", "good"), ("Other start codes", "alternate"), ("Too short", "short"), ("Too long", "long"),
    ("Broken slots", "framing"), ("Silent or late", "lost"),
)


class Page(ListPage):
    """A list to read; nothing can be chosen."""

    title = "Signal"
    parent = "feed"
    live = True
    items = ("Rate", "Slots", "Times lost", "Fewer slots") + _COUNTS
    hints = (("back", "Feed"),)

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.feed = app.feed

    def row(self, item):
        feed = self.feed
        if item == "Rate":
            return item, "%d.%d Hz" % (feed.hz10 // 10, feed.hz10 % 10)
        if item == "Slots":
            return item, "%d" % feed.count
        if item == "Times lost":
            return item, "%d" % feed.losses
        if item == "Fewer slots":
            return item, "%d" % feed.shorts
        return item[0], "%d" % (feed.source.counts[item[1]] if feed.source else 0)
