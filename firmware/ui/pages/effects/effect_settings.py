"""One effect's settings, in the units of the set."""

from firmware.parts import once
from firmware.show import effect_settings as settings
from firmware.show.effect_fields import ACTS, DEPTH, FADE, KIND, LAMPS, ON, PARAMS, SEED, SEEDS
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import lamp_choice

_NAMED = {"Depth": DEPTH, "Fade": FADE, "Sequence": SEED}


class Page(ListPage):
    """Opened from Effects with the effect. Depth is seen at once; other settings when the knob is pushed."""

    hints = (("push", "change"), ("back", "Effects"))
    parent = "effects"

    def __init__(self, app, effect):
        ListPage.__init__(self, app)
        self.effects = app.stage.effects
        self.effect = effect
        self.title = effect[KIND]
        _acts, self.may, self.specs = settings.kind(effect[KIND])
        self.items = ["Lamps", "Depth"] + [spec[0] for spec in self.specs] + ["Acts on", "Fade", "Sequence", "Remove"]
        self.targets = lamp_choice.targets(app)
        self.before = None

    def row(self, item):
        e = self.effect
        if item == "Lamps":
            return item, lamp_choice.names(self.app, e[LAMPS])
        if item == "Depth":
            return item, "%d %%" % e[DEPTH]
        if item == "Acts on":
            return item, settings.acts_on(e[ACTS])
        if item == "Fade":
            return item, "%g s" % (e[FADE] / 1000)
        if item == "Sequence":
            return item, "no. %d" % e[SEED]
        if item == "Remove":
            return item, ""
        n = self._place(item)
        return item, settings.text(self.specs[n], e[PARAMS][n])

    def _place(self, item):
        return [spec[0] for spec in self.specs].index(item)

    def choose(self, item):
        if item == "Remove":
            app, e = self.app, self.effect
            if app.try_to(self.effects.remove, e, said="%s removed. Undo: back, push" % e[KIND]):
                app.can_undo("removing " + e[KIND],
                             once, "firmware.ui.pages.effects.effect_settings", "put_back", app, e)
                app.remembered["loss"] = app.undo[-1]
            app.open("effects")
            return
        self.before = [list(v) if isinstance(v, list) else v for v in self.effect]
        self.start_dialling()

    def dial(self, item, detents):
        e = self.effect
        if item == "Lamps":
            uids = [found[1] for found in self.targets]
            at = uids.index(e[LAMPS]) if e[LAMPS] in uids else 0
            e[LAMPS] = list(uids[(at + (1 if detents > 0 else -1)) % len(uids)])
        elif item == "Acts on":
            choices = [acts for acts in range(1, 8) if not acts & ~self.may]
            e[ACTS] = choices[(choices.index(e[ACTS]) + detents) % len(choices)]
        elif item in _NAMED:
            low, high, step = {"Depth": (0, 100, 5), "Fade": (0, 600000, 500), "Sequence": (1, SEEDS, 1)}[item]
            e[_NAMED[item]] = max(low, min(high, e[_NAMED[item]] + detents * step))
            if item == "Depth":
                self.effects.follow_depth(e, self.app.now)
        else:
            n = self._place(item)
            _label, _unit, low, high, _first, step = self.specs[n]
            e[PARAMS][n] = max(low, min(high, e[PARAMS][n] + detents * step))

    def accept(self, item):
        app, e = self.app, self.effect
        self.before = None
        if e[ON] and item not in ("Depth", "Fade"):
            app.try_to(self.effects.start, e, app.now)
        app.try_to(self.effects.save, said=self.effects.message)

    def cancel(self, item):
        self.effect[:] = self.before
        self.before = None
        self.effects.follow_depth(self.effect, self.app.now)


def put_back(app, effect):
    """Undo of remove."""
    effects = app.machines.effects()
    effects.add(effect)
    if effect[ON]:
        effects.start(effect, app.now)
