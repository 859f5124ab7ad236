"""The Feed page: what comes in, who holds each lamp, what is done when the feed is lost; a look grabbed from the feed;
the captures.
"""

from firmware.parts import once
from firmware.stage.feed_tables import BY_BOTH, BY_FEED, HIGHEST, LATEST
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times
from firmware.ui.pages.feed import feed_control

_IN, _BY, _TAKE_OVER, _LOST, _BACK, _GRAB, _CAPTURES, _PORT, _RDM = (
    "Signal", "From", "Use the feed", "When lost", "Fade back", "Grab as a look", "Captures", "The port", "Answers RDM")
_RULES = ("highest", "latest", "pocket", "feed")  # by the rules of stage/feed_tables.py


class Page(ListPage):
    """The code of the feed is loaded while this page is open, and stays while packets come in."""

    title = "Feed"
    live = True
    remember = "feed"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.feed = app.feed
        lines, by = app.board.lines, [_BY] if hasattr(app.input, "who") else []
        port = [_PORT] if len(lines) == 1 and lines[0].has_input else []
        self.outs = getattr(app.board, "outs", 1)
        port += [_RDM] if len(lines) > self.outs and lines[1].rdm and not hasattr(app.board, "radio") else []
        self.items = [_IN] + by + [_TAKE_OVER, _GRAB, _CAPTURES, _LOST, _BACK] + port + app.show.rig.fixtures
        self.was = 0  # the time or the rule before the knob dialled it

    def row(self, item):
        feed = self.feed
        if item == _IN:
            sends = self.outs > 1 and not feed.source
            return item, "port 2 sends" if sends else feed_control.incoming(feed, self.app.now)
        if item == _BY:
            return item, feed.source.who()
        if item == _TAKE_OVER:
            return item, "yes" if feed.settings["on"] else "watch only"
        if item == _LOST:
            look = self.app.show.looks.name_of(feed.settings["lost"])
            return item, "%s in %s" % (look, times.seconds(feed.settings["lost_ms"])) if look else "hold the light"
        if item == _BACK:
            return item, times.seconds(feed.settings["back_ms"])
        if item == _PORT:
            return item, "sends" if self.app.board.lines[0].drive else "listens"
        if item == _RDM:
            return item, "yes" if hasattr(self.app.input, "uid") else "no"
        if isinstance(item, str):
            return item, ""
        return item.name, self._lamp(item)

    def _lamp(self, fixture):
        """Who holds a lamp, and by which rule."""
        feed = self.feed
        rule = feed.rule(fixture)
        if self.dialling and fixture is self.item():
            return _RULES[rule]
        by = feed.holder(self.app.show.rig.fixtures.index(fixture))
        who = "both" if by == BY_BOTH else "feed" if by == BY_FEED else "pocket"
        return who if rule == HIGHEST else "%s %s" % (who, _RULES[rule] if rule == LATEST else "only")

    def choose(self, item):
        app, feed = self.app, self.feed
        if item == _IN:
            app.open(getattr(feed.source, "page", "feed_counts"))
        elif item == _BY:
            app.open("network_sources")
        elif item == _TAKE_OVER:
            feed.take_over(app.now, not feed.settings["on"])
            app.try_to(feed_control.save_settings, app)
        elif item == _GRAB:
            self.hold()
        elif item == _CAPTURES:
            app.open("captures")
        elif item == _LOST:
            app.open("feed_lost")
        elif item == _PORT:
            self._turn_port()
        elif item == _RDM:
            self._answer()
        else:
            self.was = feed.settings["back_ms"] if item == _BACK else feed.rule(item)
            self.start_dialling()

    def dial(self, item, detents):
        feed = self.feed
        if item == _BACK:
            feed.settings["back_ms"] = times.dial_fade(feed.settings["back_ms"], detents)
        else:
            rule = feed.rule(item) + (1 if detents > 0 else -1)
            feed.set_rule(self.app.now, item, max(0, min(len(_RULES) - 1, rule)))

    def accept(self, item):
        self.app.try_to(feed_control.save_settings, self.app)

    def cancel(self, item):
        if item == _BACK:
            self.feed.settings["back_ms"] = self.was
        else:
            self.feed.set_rule(self.app.now, item, self.was)

    def hold(self):
        app = self.app
        count = len(app.show.looks)
        if app.try_to(feed_control.grab, app) and len(app.show.looks) > count:
            app.say("Grabbed: look %s" % app.show.looks.names()[-1])

    def list_hint(self):
        item = self.item()
        push = "open" if item in (_IN, _BY, _CAPTURES, _LOST) else "grab" if item == _GRAB else "change"
        return ("turn", "choose"), ("push", push), ("hold", "grab"), ("back", "pages")

    def _answer(self):
        """Let a desk find the device by RDM, or no longer."""
        app = self.app
        app.try_to(app.set_setting, "rdm", int(not hasattr(app.input, "uid")))
        once("firmware.feed_sources", "choose", app)

    def _turn_port(self):
        """Turn the port of a board that has one: it sends, or it listens, and then no lamp hears the pocket."""
        app, line = self.app, self.app.board.lines[0]
        line.drive = not line.drive
        app.input = self.feed.source = None if line.drive else line
        app.say("The port sends to the lamps" if line.drive else "The port listens: the lamps get nothing from here")
