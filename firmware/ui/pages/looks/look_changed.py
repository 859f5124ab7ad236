"""Whether the light that is on is still that of the look last gone to or stored. Loaded for each call."""


def check(stage):
    """Dialling there and back is no change: compare with the look on flash, where nothing fades. Sets stage.edited."""
    if not stage.edited or not stage.look or stage.left() or stage.by_hand:
        return
    try:
        lights, _fade = stage.show.looks.recall(stage.look)
    except ValueError:
        return
    stage.edited = any(f.uid in lights and stage.light(f) != lights[f.uid] for f in stage.show.rig.fixtures)
