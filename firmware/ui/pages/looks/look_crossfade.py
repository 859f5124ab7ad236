"""A crossfade by hand, with the knob as the fader. Opened by the page of a look."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme


class Page(page.Page):
    """name: the look's. Turning goes towards it and back; at the end of the way the look is on."""

    parent = "looks"
    hints = (("turn", "fade by hand"), ("back", "leave it here"))

    def __init__(self, app, name):
        page.Page.__init__(self, app)
        self.title = "To " + name

    def turn(self, detents):
        stage = self.app.stage
        stage.crossfade_at(round(stage.crossfade_at() * 50 + detents) / 50)

    def body(self, c, top, bottom):
        share = self.app.stage.crossfade_at()
        tall = c.line_height(fonts.BIG)
        y = top + (bottom - top - tall) // 3
        c.text("%d %%" % (share * 100 + 0.5), 0, y, fonts.BIG, theme.TEXT, width=c.width, align=fonts.CENTRE)
        c.bar(2 * c.pad, y + tall + c.pad, c.width - 4 * c.pad, tall // 3, int(share * 65536), theme.HOT, theme.LOW)
