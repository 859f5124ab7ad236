"""Edits of the show that can be undone. Called by the pages of lamps and looks. Each function changes one thing, and
tells the app how to bring it back: by names, since the app must hold no code of a page (firmware/parts.py).

Errors: those of rig_edit.py and looks_edit.py: ValueError, OSError; then nothing was changed.
"""

from firmware.parts import once
from firmware.show import rig_edit


def change_rig(app, verb, *args):
    """Call a function of rig_edit.py by its name, and save the rig."""
    getattr(rig_edit, verb)(app.show.rig, *args)
    app.show.save_rig()


def trim(app, fixture, name, value):
    """Set a trim, or take it away (None), and save the rig. Without undo: for that see set_trim."""
    rig_edit.trim(app.show.rig, fixture, **{name: value})
    app.show.save_rig()


def add_lamp(app, ident):
    """Patch one more lamp at the first free address, and open the page for its name; its own page follows."""
    if app.try_to(change_rig, app, "add", ident):
        _name_new(app, app.show.rig.fixtures[-1:])


def add_more(app, fixture, count):
    """Patch so many more lamps of a kind, as many as there is room for. Each is offered a name, then the page of the
    first lamp is open again."""
    rig = app.show.rig
    before, base = len(rig), fixture.name.rstrip("0123456789").rstrip() or fixture.name
    while len(rig) < before + count:
        if not app.try_to(rig_edit.add_beside, rig, fixture, rig_edit.free_name(rig, base)):
            break
    if len(rig) > before and app.try_to(app.show.save_rig):
        _name_new(app, rig.fixtures[before:], fixture)


def _name_new(app, fixtures, last=None):
    """Open the pages for the names of new lamps one after the other, then the page of the last one, or of `last`."""
    then = "lamp", last or fixtures[-1], not last
    for f in reversed(fixtures):
        then = _opening("name", "lamp", "", then, once, "firmware.ui.pages.undo_edits", "rename_lamp", app, f)
    if len(fixtures) == len(app.show.rig):  # the first of all: not all lamps together, but the first is under the knob
        app.remembered["lamp"] = fixtures[0].uid
    app.open(*then)


def _opening(*args):
    """What app.open is to be given later."""
    return args


def rename_lamp(app, fixture, new):
    """Give a lamp another name."""
    old = fixture.name
    change_rig(app, "rename", fixture, new)
    _undo_rig(app, "Name " + old, "rename", fixture, old)


def move_lamp(app, fixture, address):
    """Give a lamp another start address."""
    old = fixture.address
    change_rig(app, "move", fixture, address)
    _undo_rig(app, "address of " + fixture.name, "move", fixture, old)


def swap_lamp(app, fixture, ident):
    """Make a lamp another kind."""
    old = fixture.personality
    change_rig(app, "swap", fixture, ident)
    _undo_rig(app, "kind of " + fixture.name, "swap", fixture, old)


def remove_lamp(app, fixture):
    """Take a lamp out of the rig."""
    at = app.show.rig.fixtures.index(fixture)
    change_rig(app, "remove", fixture)
    _undo_rig(app, "removing " + fixture.name, "put_back", fixture, at)
    wait_on_undo(app)


def set_trim(app, fixture, name, value):
    """Set a trim, or take it away (None)."""
    old = fixture.trims.get(name)
    trim(app, fixture, name, value)
    app.can_undo("trim of " + fixture.name, once, "firmware.ui.pages.undo_edits", "trim", app, fixture, name, old)


def store_over(app, name):
    """Put the light that is on into a look that is there."""
    saved = once("firmware.show.looks_edit", "saved", app.show.looks, name)
    app.stage.store(name)
    _undo_looks(app, "Light of " + name, "bring_back", saved)
    wait_on_undo(app)


def rename_look(app, name, new):
    """Give a look another name."""
    once("firmware.show.looks_edit", "rename", app.show.looks, name, new)
    _undo_looks(app, "Name " + name, "rename", new, name)


def remove_look(app, name):
    """Delete a look."""
    gone = once("firmware.show.looks_edit", "remove", app.show.looks, name)
    _undo_looks(app, "deleting " + name, "put_back", gone)
    wait_on_undo(app)


def fade_look(app, name, old, new):
    """Give a look another fade, as looks_edit.set_fade takes it."""
    once("firmware.show.looks_edit", "set_fade", app.show.looks, name, new)
    _undo_looks(app, "Fade of " + name, "set_fade", name, old)


def wait_on_undo(app):
    """The last thing that can be undone was a loss: when the list of pages is opened next, its cursor waits on Undo."""
    app.remembered["loss"] = app.undo[-1]


def _undo_rig(app, what, verb, *args):
    app.can_undo(what, once, "firmware.ui.pages.undo_edits", "change_rig", app, verb, *args)


def _undo_looks(app, what, verb, *args):
    app.can_undo(what, once, "firmware.show.looks_edit", verb, app.show.looks, *args)
