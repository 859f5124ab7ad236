"""The Run page: which step of the running order is on, what comes next, and how long that takes. A push goes on."""

from firmware.show.running_order import FADE, FOLLOW, HOLD, LOOK_FADE
from firmware.stage.running_order_player import WORDS
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times

_ADD = "+ Add looks"
_STOP = "Stop"
_LOOP = "After the last"


class Page(ListPage):
    """The chosen row is the next step until the user turns to another; a push goes there. Holding the knob opens the
    times and the place of a step."""

    title = "Run"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.player = app.player
        self._fill()

    def _fill(self):
        """Fill the list and choose what comes next: the list has changed, or the step that is on."""
        self.items = self.player.order.steps + [_ADD, _STOP, _LOOP]
        self.on = self.player.place()
        self.phase = self.player.phase
        at = self.player.following()
        self.at = len(self.player.order) if at is None else at

    def step(self, now):
        if self.player is not self.app.player:  # another show was opened
            self.app.open("run")
        elif self.player.place() != self.on:
            self._fill()
            self.app.screen.touch()
        elif self.player.phase != self.phase:
            self.phase = self.player.phase
            self.app.screen.touch()

    def row(self, item):
        order = self.player.order
        if item is _ADD:
            return item, ""
        if item is _STOP:
            return item, self.player.words() if self.player.phase else "stopped"
        if item is _LOOP:
            return item, "repeat" if order.loop else "end"
        place = order.place(item)
        mark = "> " if place == self.on else ""
        return "%s%d  %s" % (mark, place + 1, order.name(item)), _times(item, self.app.canvas.big)

    def choose(self, item):
        player, order = self.player, self.player.order
        if item is _ADD:
            self.app.open("run_add")
        elif item is _STOP:
            player.stop()
        elif item is _LOOP:
            self.app.try_to(order.set_loop, not order.loop)
        else:
            at = order.place(item)
            if at == player.following():
                player.next()
            else:
                player.jump(at)
            self._fill()

    def hold(self):
        if isinstance(self.item(), list):
            self.app.open("run_step", self.item())

    def list_hint(self):
        item = self.item()
        if not isinstance(item, list):
            return ("push", "confirm"), ("turn", "choose"), ("back", "pages")
        at = self.player.order.place(item)
        push = "next" if at == self.player.following() else "go to %d" % (at + 1)
        return ("push", push), ("turn", "another"), ("hold", "its times"), ("back", "pages")

    def body(self, c, top, bottom):
        for word, name, right in self._heading() if c.big else self._heading()[:1]:
            left = c.pad
            if c.big:
                left = c.width // 6
                c.text(word, c.pad, top + c.baseline(fonts.BODY) - c.baseline(fonts.SMALL), fonts.SMALL, theme.DIM)
            wide = c.measure(right, fonts.BODY)
            c.text(name, left, top, fonts.BODY, theme.TEXT, width=c.width - left - wide - 2 * c.pad)
            c.text(right, c.width - c.pad - wide, top, fonts.BODY, theme.TEXT)
            top += c.row
            yield
        c.box(0, top, c.width, 1, theme.EDGE)
        yield from ListPage.body(self, c, top + 2, bottom)

    def _heading(self):
        """The two lines above the list: (word, name, right)."""
        player, order = self.player, self.player.order
        on, at = player.current, player.following()
        now = ("on", "-", "")
        if on:
            now = ("on", "%d  %s" % (player.place() + 1, order.name(on)), "" if player.left() else WORDS[player.phase])
        if at is None:
            return now, ("then", "the end" if len(order) else "add looks first", "")
        by_itself = player.phase and on and on[FOLLOW]
        return now, ("then", "%d  %s" % (at + 1, order.name(order.steps[at])), "by itself" if by_itself else "by push")


def _times(step, big):
    """A step's times in words: "3 s, on after 5 s"; where there is little room "3 s +"."""
    fade = "own time" if step[FADE] == LOOK_FADE else times.seconds(step[FADE])
    return fade + ((", on after " + times.seconds(step[HOLD]) if big else " +") if step[FOLLOW] else "")
