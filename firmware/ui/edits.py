"""Edits of the show that can be undone. Called by the pages; each does one verb and leaves its way back with the app.

Errors: those of the verb, when nothing was changed: ValueError, OSError.
"""


def add_lamp(app, ident):
    """Patch one more lamp at the first free address and open its page."""
    rig = app.show.rig
    if app.try_to(app.change_rig, rig.add, ident):
        f = rig.fixtures[-1]
        app.say("Set the lamp to address %d" % f.address)
        app.open("lamp", f)


def rename_lamp(app, fixture, new):
    """Give a lamp another name."""
    old = fixture.name
    app.change_rig(app.show.rig.rename, fixture, new)
    app.can_undo("Name " + old, app.change_rig, app.show.rig.rename, fixture, old)


def move_lamp(app, fixture, address):
    """Give a lamp another start address."""
    old = fixture.address
    app.change_rig(app.show.rig.move, fixture, address)
    app.can_undo("%s at %d" % (fixture.name, old), app.change_rig, app.show.rig.move, fixture, old)


def swap_lamp(app, fixture, ident):
    """Make a lamp another kind."""
    old = fixture.personality
    app.change_rig(app.show.rig.swap, fixture, ident)
    app.can_undo("%s as %s" % (fixture.name, old.name), app.change_rig, app.show.rig.swap, fixture, old)


def remove_lamp(app, fixture):
    """Take a lamp out of the rig."""
    at = app.show.rig.fixtures.index(fixture)
    app.change_rig(app.show.rig.remove, fixture)
    app.can_undo(fixture.name + " removed", app.change_rig, app.show.rig.put_back, fixture, at)


def trim(app, fixture, name, value):
    """Set a trim; None takes it away."""
    old = fixture.trims.get(name)
    app.change_rig(_trim, app.show.rig, fixture, name, value)
    app.can_undo("%s's trim" % fixture.name, app.change_rig, _trim, app.show.rig, fixture, name, old)


def _trim(rig, fixture, name, value):
    rig.trim(fixture, **{name: value})


def store_over(app, name):
    """Put the light that is on into a look that is there."""
    app.stage.store(name)
    app.can_undo("Light of " + name, app.show.looks.revert, name)


def rename_look(app, name, new):
    """Give a look another name."""
    app.show.looks.rename(name, new)
    app.can_undo("Name " + name, app.show.looks.rename, new, name)


def remove_look(app, name):
    """Delete a look."""
    gone = app.show.looks.remove(name)
    app.can_undo(name + " deleted", app.show.looks.put_back, gone)


def fade_look(app, name, old_ms, new_ms):
    """Give a look another fade time."""
    app.show.looks.set_fade(name, new_ms)
    app.can_undo("Fade of " + name, app.show.looks.set_fade, name, old_ms)
