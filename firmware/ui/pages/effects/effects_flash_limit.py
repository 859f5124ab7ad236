"""The limit on flashing, and the caution that is accepted before it goes."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.page_draw import draw_row
from firmware.ui.frame.paragraph import paragraph

_CAUTION = "Over 3 flashes a second can bring on seizures. Warn everyone first."
_MORE = (" It can be the first in a life. The limit holds what goes by itself, not your hand or a desk. Put it back "
         "after the shot; it is back by itself after every power-up.")
_KEEP = "Keep the limit"
_OFF = "All warned: limit off"


class Page(ListPage):
    """Opened from Effects. The limit is back after every power-up and with every other show."""

    title = "Flash limit"
    items = (_KEEP, _OFF)
    hints = (("push", "choose"), ("back", "Effects"))
    parent = "effects"

    def choose(self, item):
        app = self.app
        app.remembered["flashing"] = item is _OFF
        app.stage.effects.keep_limit(item is _KEEP)
        app.say("Flash limit is " + ("on" if item is _KEEP else "off: warn everyone"))
        app.open("effects")

    def body(self, c, top, bottom):
        shown = self.items if c.big else [self.item()]
        rows = bottom - len(shown) * c.row
        words = _CAUTION + _MORE if c.big else _CAUTION
        yield from paragraph(c, words, top, fonts.SMALL, theme.TEXT, max(1, (rows - top) // c.line_height(fonts.SMALL)))
        yield
        for n, item in enumerate(shown):
            yield from draw_row(c, rows + n * c.row, item, "", item is self.item())
            yield
