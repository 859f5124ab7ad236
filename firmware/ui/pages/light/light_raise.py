"""Turned up together, lamps keep their ratios, so those that are out stay out: Light says so here, and offers to raise
them. Loaded for each call."""

from firmware.parts import once

_NAMED = 3  # so many lamps a message names


def offer(app, lamps):
    """Lamps were turned up together: say which are out, if others are not, and let a push raise them."""
    out = [f for f in lamps if not app.stage.level_of(f)]
    if not out or len(out) == len(lamps):
        return
    names = ", ".join([f.name for f in out[:_NAMED]])
    if len(out) > _NAMED:
        names += " and %d more" % (len(out) - _NAMED)
    app.say("Push: raise too. Out: " + names, None,
            once, "firmware.ui.pages.light.light_raise", "bring_up", app, [f.uid for f in lamps])


def bring_up(app, uids):
    """Bring those of these lamps that are out to the level of the darkest that is not."""
    stage = app.stage
    lamps = [f for f in app.show.rig.fixtures if f.uid in uids]
    lit = [stage.level_of(f) for f in lamps if stage.level_of(f)]
    for f in lamps:
        if lit and not stage.level_of(f):
            stage.dial_level(f, min(lit))
