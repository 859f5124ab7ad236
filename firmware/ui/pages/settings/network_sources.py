"""Who sends sACN: those of the universe, those that list theirs on the network, and what the packets were. Opened by
Network, and by Feed where the feed comes by sACN.
"""

from firmware.parts import once
from firmware.ui.frame.list_page import ListPage

# What packets were (feed_network.py) in words.
_COUNTS = (
    ("Good packets", "good"), ("Other universes", "other"), ("Late or twice", "late"), ("Only a preview", "preview"),
    ("Other start codes", "alternate"), ("Too many senders", "surplus"), ("Too short", "short"), ("No sACN", "wrong"),
)
_AGAIN_MS = 500  # between two looks at who is there


class Page(ListPage):
    """A push on one that lists its universes goes over to the next of them."""

    live = True
    named = False

    def __init__(self, app, parent="feed"):
        ListPage.__init__(self, app)
        self.parent = parent
        self.source = app.input
        self._look()

    def step(self, now):
        if now - self.since >= _AGAIN_MS:
            self.since = now
            self._look()

    def _look(self):
        source = self.source
        self.title = "Universe %d" % source.settings["universe"]
        self.items = source.sources.sources + source.found.sources + list(_COUNTS)

    def row(self, item):
        if isinstance(item, tuple):
            return item[0], "%d" % self.source.sources.counts[item[1]]
        if isinstance(item, list):
            return item[1], "has " + ", ".join(["%d" % universe for universe in item[2]])
        return item.name, ("in use, %d" if self.source.sources.makes(item) else "waits, %d") % item.priority

    def list_hint(self):
        push = (("push", "take next"),) if isinstance(self.item(), list) else ()
        return (("turn", "choose"),) + push + (("back", self.parent[0].upper() + self.parent[1:]),)

    def choose(self, item):
        if isinstance(item, list) and item[2]:
            now = self.source.settings["universe"]
            later = [universe for universe in item[2] if universe > now]
            self.app.try_to(once, "firmware.ui.pages.settings.network", "put", self.app, "universe",
                            later[0] if later else item[2][0])
