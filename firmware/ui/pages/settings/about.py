"""What this device is: version, board and licence; and the cautions. Opened by Settings."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.paragraph import paragraph

_CARE = (
    "Never for what can hurt: no pyrotechnics, hoists or moving loads on DMX512.",
    "Flashing light can trigger seizures. Lamps are hot: hang them with a safety wire.",
    "Mains: local code and a licensed electrician decide.",
)

# OWN_UID of wire/rdm.py.
_RDM = "RDM: asks lamps as 7FF0:485A0001, from the numbers kept for prototypes (ANSI E1.20)."


class Page(page.Page):
    """A page of text. A turn leads on through it, where the panel is small."""

    title = "About"
    parent = "settings"
    hints = (("turn", "read on"), ("back", "Settings"))
    at = 0  # the first text that is shown

    def __init__(self, app):
        page.Page.__init__(self, app)
        board = app.board
        found = ""
        if hasattr(app.input, "uid"):
            found = " A desk finds it as %02X%02X:%02X%02X%02X%02X." % tuple(app.input.uid)
        self.words = ("Halfstop %s on %s (%s)" % (app.version, board.name, board.chip),) + _CARE + (
            _RDM + found, "MIT licence. Fonts: DejaVu, X11.")

    def turn(self, detents):
        self.at = max(0, min(len(self.words) - 1, self.at + detents))

    def body(self, c, top, bottom):
        y, tall, first = top + 2, c.line_height(fonts.SMALL), self.at
        for k in range(first, len(self.words)):
            lines = (bottom - y) // tall
            needed = yield from paragraph(c, self.words[k], y, fonts.SMALL, -1, 99)
            if lines < 1 or lines < needed and k > first:  # after a turn it stands at the top
                return
            ink = theme.TEXT if k else theme.HOT
            y += (yield from paragraph(c, self.words[k], y, fonts.SMALL, ink, lines)) * tall + tall // 3
            yield
