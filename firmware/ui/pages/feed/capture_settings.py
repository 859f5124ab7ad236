"""What can be done with one capture: where it begins and ends, fades, loop, name, a place in the running order, delete.
Opened by Captures.
"""

from firmware.parts import once
from firmware.show import captures
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times

# The rows whose value is a time, and its key in captures.about.
_KEYS = {"Begin at": "start", "End at": "end", "Fade in": "fade_in", "Fade out": "fade_out"}


class Page(ListPage):
    """number: the capture's."""

    parent = "captures"
    items = ("Begin at", "End at", "Fade in", "Fade out", "Loop", "Add to Run", "Name", "Delete")

    def __init__(self, app, number):
        ListPage.__init__(self, app)
        self.number, self.disk = number, app.board.disk
        self.about = captures.about(self.disk, number)[0]
        if not self.about["ms"]:
            self._measure()
        self.title = self.about["name"]
        self.was = 0

    def _measure(self):
        """Find out how long the capture is from its blocks, where power was cut before that could be noted."""
        try:
            self.about["ms"] = once("firmware.stage.capture_file", "length", self.disk, captures.path(self.number))
        except OSError as e:
            self.app.say(str(e.args[-1]))

    def row(self, item):
        if item in _KEYS:
            ms = self.about[_KEYS[item]]
            if item == "End at" and not ms:
                ms = self.about["ms"]
            if item in ("Begin at", "End at"):
                return item, "%s.%d" % (times.clock(ms // 1000 * 1000), ms // 100 % 10)
            return item, times.seconds(ms)
        return item, ("yes" if self.about["loop"] else "no") if item == "Loop" else ""

    def dial(self, item, detents):
        about, key = self.about, _KEYS[item]
        whole = about["ms"]
        if key == "start":
            most = (about["end"] or whole) - 100
            about[key] = max(0, min(most, about[key] + detents * 100))
        elif key == "end":
            end = max(about["start"] + 100, (about[key] or whole) + detents * 100)
            about[key] = 0 if end >= whole else end
        else:
            about[key] = max(0, min(60000, about[key] + detents * 500))

    def accept(self, item):
        if not self.app.try_to(captures.save, self.disk, self.number, self.about):
            self.cancel(item)

    def cancel(self, item):
        self.about[_KEYS[item]] = self.was

    def choose(self, item):
        app = self.app
        if item in _KEYS:
            self.was = self.about[_KEYS[item]]
            self.start_dialling()
        elif item == "Loop":
            self.about["loop"] = 1 - self.about["loop"]
            app.try_to(captures.save, self.disk, self.number, self.about)
        elif item == "Name":
            old = self.about["name"]
            app.open("name", "capture", old, ("captures",),
                     once, "firmware.ui.pages.feed.capture_settings", "rename", app, self.disk, self.number, old)
        elif item == "Add to Run":
            app.try_to(self._add_to_run, said="%s is the last step of Run" % self.about["name"])
        elif app.try_to(captures.remove, self.disk, self.number,
                        said=self.about["name"] + " deleted. Undo: back twice, push"):
            app.can_undo("deleting " + self.about["name"],
                         once, "firmware.show.captures", "put_back", self.disk, self.number)
            app.remembered["loss"] = app.undo[-1]
            app.open("captures")

    def _add_to_run(self):
        self.app.machines.running_order().order.add_capture(self.number)

    def list_hint(self):
        push = "change" if self.item() in _KEYS or self.item() == "Loop" else "confirm"
        return ("turn", "choose"), ("push", push), ("back", "list")


def rename(app, disk, number, old, new):
    """Give a capture another name, so that it can be undone. Errors: as captures.rename."""
    captures.rename(disk, number, new)
    app.can_undo("Name " + old, once, "firmware.show.captures", "rename", disk, number, old)
