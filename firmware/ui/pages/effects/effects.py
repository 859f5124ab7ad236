"""The effects: start and stop those of the show, put a new one on a lamp; the rate of flashing."""

from firmware.light.effects.table import NAMES
from firmware.show import effect_settings as settings
from firmware.show.effect_fields import KIND, LAMPS, ON, SEEDS
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import lamp_choice

_LIMIT = "Flash limit"


class Page(ListPage):
    """Rows: the effects of the show, then every kind to put on the lamps in its line (push and turn chooses them)."""

    title = "Effects"
    least = 3
    live = True

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.effects = app.stage.effects
        self.targets = lamp_choice.targets(app)
        self.aim = lamp_choice.present(app, self.targets)
        self._fill()
        self.at = min(app.remembered.get("effect", 0), len(self.items) - 1)

    def _fill(self):
        self.items = self.effects.saved + list(NAMES) + [_LIMIT]

    def close(self):
        self.app.remembered["effect"] = self.at

    def row(self, item):
        if item is _LIMIT:
            return item, "on" if self.effects.limited else "off"
        if isinstance(item, str):
            aim = self.targets[self.aim][0] if self.targets else "no lamps yet"
            return "+ " + item, "on " * (self.app.canvas.big and bool(self.targets)) + aim
        on = "on" if item[ON] else "fades out" if self.effects.is_on(item) else "off"
        lamps = lamp_choice.names(self.app, item[LAMPS])
        if self.app.canvas.big:
            return "%s, %s" % (item[KIND], lamps), on
        return "> " * item[ON] + item[KIND], on if on == "fades out" else lamps

    def choose(self, item):
        if item is _LIMIT:
            self.app.open("effects_flash_limit")
        elif isinstance(item, str):
            self.app.try_to(self._add, item)
        elif item[ON]:
            self.effects.stop(item, self.app.now)
            item[ON] = 0
            self.app.try_to(self.effects.save)
        else:
            self._put_on(item, False)

    def _add(self, kind):
        """Errors: ValueError: no memory for it."""
        if not self.targets:
            self.app.say("Add a lamp on the Rig page first")
            return
        effect = settings.new(kind, self.targets[self.aim][1], len(self.effects.saved) % SEEDS + 1)
        if self.app.try_to(self.effects.add, effect):
            self._fill()
            self.at = self.items.index(effect)
            self._put_on(effect, True)

    def _put_on(self, effect, is_new):
        """Put an effect on. The first one brings the limiter on flashing, which needs the room of this page: the page
        is opened anew, after it."""
        self.app.remembered["put on"] = effect, is_new
        if self.effects.limit:
            self.app.machines.need("effects")
            self._fill()
        else:
            self.app.open("effects")

    def push_turn(self, detents):
        if self.targets:
            self.aim = (self.aim + detents) % len(self.targets)

    def hold(self):
        item = self.item()
        if isinstance(item, list):
            self.app.open("effect_settings", item)

    def hint(self):
        item = self.item()
        if isinstance(item, list):
            return ("push", "off" if item[ON] else "on"), ("hold", "settings"), ("turn", "choose"), ("back", "pages")
        if item is _LIMIT:
            return ("push", "change"), ("turn", "choose"), ("back", "pages")
        return ("push", "start"), ("push+turn", "lamp"), ("turn", "choose"), ("back", "pages")

    def body(self, c, top, bottom):
        limit = "on" if self.effects.limited else "off"
        words = "%g flashes/s, limit %s" % (self.effects.rate() / 2, limit)
        c.text(words, 2 * c.pad, top, fonts.SMALL, theme.TEXT)
        top += c.line_height(fonts.SMALL)
        c.box(0, top, c.width, 1, theme.EDGE)
        yield
        yield from ListPage.body(self, c, top + 2, bottom)
