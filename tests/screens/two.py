"""Scenes of a rig on two universes, on a device whose second port sends, whatever board draws them."""

from firmware.parts import once
from sim.line import Line


def two(page, *args, turn=0, steps=()):
    """A scene in which a lamp stands at 2.101, and a page is opened. args: its arguments, "far" for that lamp; turn:
    detents; steps: gestures after that."""
    def scene(b):
        app = b.app
        if len(b.board.lines) < 2:
            b.board.lines += (Line(b.clock),)
        b.board.outs, b.board.lamps, app.universes = 2, 128, 2
        app.show.rig.universes = 2
        app.settings["port2"] = 1
        once("firmware.feed_sources", "choose", app)
        far = app.show.rig.add("rgb", "Far", 613)
        b.run(0.2)
        app.open(page, *[far if arg == "far" else arg for arg in args])
        b.turn(turn)
        for verb, *given in steps:
            getattr(b, verb)(*given)
    return scene
