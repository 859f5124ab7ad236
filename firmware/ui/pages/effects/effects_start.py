"""Puts an effect on, and keeps that it is. Loaded by app_machines.py, before the page Effects or while it is open."""

from firmware.show.effect_fields import ON


def start(app, effect, is_new):
    """is_new: one that cannot be put on leaves the show again. Errors: OSError(ENOSPC)."""
    effects = app.stage.effects
    if app.try_to(effects.start, effect, app.now):
        effect[ON] = 1
        app.try_to(effects.save, said=effects.message)
    elif is_new:
        effects.remove(effect)
