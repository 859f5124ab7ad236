"""The capture that plays in place of the feed: where it is, and its speed. Opened by Captures; it plays on when the
page is left.
"""

from firmware.stage.capture_player import FASTEST, NORMAL, SLOWEST
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.pages import times
from firmware.ui.pages.feed import feed_control


class Page(page.Page):
    """A turn jumps by seconds, a push pauses, push and turn sets the speed, and holding the knob stops."""

    parent = "captures"
    live = True

    def __init__(self, app):
        page.Page.__init__(self, app)
        self.player = app.feed.player
        self.title = self.player.name

    def step(self, now):
        if self.app.feed.player is not self.player:
            self.leave()

    def turn(self, detents):
        self.player.seek(self.player.at + detents * self.app.gestures.pace * 1000)

    def push(self):
        self.player.paused = not self.player.paused

    def push_turn(self, detents):
        player = self.player
        step = 1 if player.speed < NORMAL or player.speed == NORMAL and detents < 0 else 5
        speed = player.speed + detents * step
        if (player.speed - NORMAL) * (speed - NORMAL) < 0:  # it stops at the speed of the recording on its way
            speed = NORMAL
        player.speed = max(SLOWEST, min(FASTEST, speed))

    def hold(self):
        feed_control.play(self.app, 0)
        self.leave()

    def hint(self):
        return (("push", "go on" if self.player.paused else "pause"), ("turn", "jump"), ("push+turn", "speed"),
                ("hold", "stop"), ("back", "list"))

    def body(self, c, top, bottom):
        player = self.player
        words = "paused" if player.paused else "%g x" % (player.speed / 10)
        if player.loop:
            words += ", loop"
        high = c.line_height(fonts.BIG)
        c.text(times.clock(player.at), c.pad, top, fonts.BIG, theme.TEXT, width=c.width - c.pad)
        yield
        top += high
        c.text("of " + times.clock(player.ms), c.pad, top, fonts.BODY, theme.DIM)
        c.text(words, c.width // 2, top, fonts.BODY, theme.TEXT, width=c.width // 2 - c.pad, align=fonts.RIGHT)
        yield
        wide = c.width - 2 * c.pad
        top = min(top + c.row + c.pad, bottom - c.row // 2)
        share = (player.at - player.start) * 65536 // max(1, player.end - player.start)
        c.bar(c.pad, top, wide, c.row // 3, max(0, min(65536, share)), theme.HOT, theme.LOW)
