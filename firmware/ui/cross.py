"""A crossfade by hand: the knob is the fader."""

from firmware.ui import canvas as fonts
from firmware.ui import theme
from firmware.ui.page import Page as _Page


class Page(_Page):
    """Opened from a look. Turning goes towards it and back; at the end the look is on."""

    hints = (("turn", "fade by hand"), ("back", "leave it here"))

    def __init__(self, app, name):
        _Page.__init__(self, app)
        self.title = "To " + name

    def turn(self, detents):
        stage = self.app.stage
        stage.hand(round(stage.hand() * 50 + detents) / 50)

    def back(self):
        self.app.open("looks")

    def body(self, c, top, bottom):
        share = self.app.stage.hand()
        c.text("%d %%" % round(share * 100), 0, top + 50, fonts.BIG, theme.TEXT, width=c.width, align=1)
        c.bar(20, top + 110, c.width - 40, 16, int(share * 65536), theme.HOT, theme.LOW)
