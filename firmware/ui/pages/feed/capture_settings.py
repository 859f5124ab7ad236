"""What can be done with one capture: trim, fades, loop, name, into the running order, delete."""

from firmware.parts import once
from firmware.show import captures
from firmware.ui.frame.page import Choice
from firmware.ui.pages.feed.feed_words import clock

_TIMES = {"Begin at": "start", "End at": "end", "Fade in": "fade_in", "Fade out": "fade_out"}


class Page(Choice):
    """Opened from Captures with the capture's number."""

    items = ("Begin at", "End at", "Fade in", "Fade out", "Loop", "Add to Run", "Name", "Delete")

    def __init__(self, app, number):
        Choice.__init__(self, app)
        self.number, self.disk = number, app.board.disk
        self.about = captures.about(self.disk, number)[0]
        if not self.about["ms"]:
            self._measure()
        self.title = self.about["name"]
        self.was = 0

    def _measure(self):
        """A capture that the plug cut short does not say how long it is: read its heads."""
        try:
            self.about["ms"] = once("firmware.stage.capture_file", "length", self.disk, captures.path(self.number))
        except OSError as e:
            self.app.say(str(e.args[-1]))

    def row(self, item):
        if item in _TIMES:
            ms = self.about[_TIMES[item]]
            if item == "End at" and not ms:
                ms = self.about["ms"]
            if item in ("Begin at", "End at"):
                return item, "%s.%d" % (clock(ms // 1000 * 1000), ms // 100 % 10)
            return item, "%g s" % (ms / 1000)
        return item, ("yes" if self.about["loop"] else "no") if item == "Loop" else ""

    def dial(self, item, detents):
        about, key = self.about, _TIMES[item]
        whole = about["ms"]
        if key == "start":
            most = (about["end"] or whole) - 100
            about[key] = max(0, min(most, about[key] + detents * 100))
        elif key == "end":
            end = max(about["start"] + 100, (about[key] or whole) + detents * 100)
            about[key] = 0 if end >= whole else end
        else:
            about[key] = max(0, min(60000, about[key] + detents * 500))

    def dialled(self, item):
        if not self.app.try_to(captures.save, self.disk, self.number, self.about):
            self.undial(item)

    def undial(self, item):
        self.about[_TIMES[item]] = self.was

    def choose(self, item):
        app = self.app
        if item in _TIMES:
            self.was = self.about[_TIMES[item]]
            self.grip()
        elif item == "Loop":
            self.about["loop"] = 1 - self.about["loop"]
            app.try_to(captures.save, self.disk, self.number, self.about)
        elif item == "Name":
            old = self.about["name"]
            app.open("name", "capture", old, ("captures",),
                     once, "firmware.ui.pages.feed.capture_settings", "rename", app, self.disk, self.number, old)
        elif item == "Add to Run":
            app.try_to(self._to_run, said="%s is the last step of Run" % self.about["name"])
        elif app.try_to(captures.remove, self.disk, self.number, said=self.about["name"] + " deleted"):
            app.can_undo(self.about["name"] + " deleted",
                         once, "firmware.show.captures", "put_back", self.disk, self.number)
            app.open("captures")

    def _to_run(self):
        self.app.machines.running_order().order.add_capture(self.number)

    def hint(self):
        if self.gripped:
            return Choice.hint(self)
        push = "change" if self.item() in _TIMES or self.item() == "Loop" else "do it"
        return ("turn", "choose"), ("push", push), ("back", "list")

    def close(self):
        if self.gripped:
            self.undial(self.item())

    def leave(self):
        self.app.open("captures")


def rename(app, disk, number, old, new):
    """Give a capture another name, so that it can be undone. Errors: OSError."""
    captures.rename(disk, number, new)
    app.can_undo("Name " + old, once, "firmware.show.captures", "rename", disk, number, old)
