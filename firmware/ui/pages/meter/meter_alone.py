"""One lamp by itself at the mark, and the others back afterwards. Used by the pages that measure."""

from firmware.show.fixture_light import LEVEL
from firmware.ui.pages import undo_light


def begin(stage, fixture):
    """Put out all lamps but one, and bring that one to full if it was out -> the light that `end` brings back."""
    taken = undo_light.take(stage, stage.show.rig.fixtures)
    for f in stage.show.rig.fixtures:
        if f is not fixture and stage.light(f)[LEVEL]:
            stage.dial(f, level=0)
    if not stage.light(fixture)[LEVEL]:
        stage.dial(fixture, level=1)
    return taken


def end(stage, taken):
    """Bring the light back that was there before."""
    undo_light.put_back(stage, taken)


def in_the_way(stage):
    """What keeps the lamp from giving its light, in words; "" where nothing does."""
    if stage.blackout:
        return "Blackout is on: nothing can be measured"
    if not stage.master_units:
        return "The master is at 0: nothing can be measured"
    return "End the effects first" if stage.effects and stage.effects.running else ""
