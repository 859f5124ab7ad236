"""What this is: version, board, licence, the signs of the hints, and what must hurt no one."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Page as _Page
from firmware.ui.frame.page import note as _note

_CARE = (
    "Never for what can hurt: no pyrotechnics, hoists or moving loads on DMX512.",
    "Flashing light can trigger seizures. Lamps are hot: hang them with a safety wire.",
    "Mains: local code and a licensed electrician decide.",
)


class Page(_Page):
    """One page of text; turn to read on where the panel is small."""

    title = "About"
    hints = (("turn", "read on"), ("back", "Kit"))
    at = 0

    def __init__(self, app):
        _Page.__init__(self, app)
        board = app.board
        self.words = ("Halfstop %s on %s (%s)" % (app.version, board.name, board.chip),) + _CARE + (
            "MIT licence. Fonts: DejaVu.",)

    def turn(self, detents):
        self.at = max(0, min(len(self.words) - 1, self.at + detents))

    def back(self):
        self.app.open("settings")

    def body(self, c, top, bottom):
        y, tall = top + 2, c.line_height(fonts.SMALL)
        for k in range(self.at, len(self.words)):
            lines = (bottom - y) // tall
            if lines < 1:
                return
            y += _note(c, self.words[k], y, fonts.SMALL, theme.TEXT if k else theme.HOT, lines) * tall + tall // 3
            yield
