"""Solo: the lamps that are chosen on Light stand alone, all others are out until it is over. Loaded for each call, by
the loop for a hold of the key black, and by Light.

What is kept, what looks store and what comes back after a power cut is the light without it.
"""

from firmware.stage import patch_fields as fields


def toggle(app):
    """Begin a solo of what is chosen on Light, or end it."""
    stage = app.stage
    if stage.solo:
        stage.solo = False
        app.say("Solo is over")
        return
    lamps = app.page.chosen() if app.page_name == "light" else ()
    if not lamps:
        app.say("Solo: choose a lamp on Light, then hold black")
        return
    mark(stage, lamps)
    stage.solo = True
    out = not any(stage.level_of(f) for f in lamps)
    app.say("Solo, but this is out: turn it up" if out else "Solo: all others are out. Hold black ends it")


def mark(stage, lamps):
    """Let these lamps be those that stand alone."""
    setups = stage.patch.setups
    for f in stage.show.rig.fixtures:
        h = stage.place(f) * fields.SETUP + fields.EXEMPT
        setups[h] = setups[h] & ~fields.DARK | (0 if f in lamps else fields.DARK)
