"""Which texts a canvas draws cut, with an ellipsis at their end: names that users give may be, the device's words not.

Used by the walker and by the tests of screens.
"""

from firmware.show import groups
from firmware.ui.frame import glyphs


class Cut(AssertionError):
    """A word of the device's own has no room."""


def names(app):
    """The names that users gave: of lamps, looks, groups, the show."""
    return {*(f.name for f in app.show.rig.fixtures), *app.show.looks.names(), app.show.name,
            *(name for name, _uids in groups.load(app.show)[0])} - {""}


def lost(text, count, given):
    """What a text loses that is drawn up to so many characters: what is neither of a given name nor a mark."""
    free = [True] * len(text)
    for name in given:
        at = text.find(name)
        while at >= 0:
            free[at:at + len(name)] = [False] * len(name)
            at = text.find(name, at + 1)
    return "".join(c for c, own in zip(text[count:], free[count:]) if own and c.isalnum())


def watch(app, given=()):
    """Let an app's canvas refuse to cut what is not a name. given: names that the show does not know."""
    canvas, draw, known = app.canvas, app.canvas.text, set(given)

    def text(s, x, y, font, ink, paper=None, width=None, align=0):
        data = canvas._font(s, font)
        long = glyphs.measure(data, s, len(s))
        room = canvas.width - max(0, x - long * align // 2) if width is None else width
        if long > room and s != "…":
            count = glyphs.fit(data, s, room - glyphs.measure(data, "…", 1))
            known.update(names(app))  # a page may still show the name that a lamp had
            if lost(s, count, known):
                raise Cut(f"{s!r}, {long} pixels into {room}, {type(app.page).__module__}")
        return draw(s, x, y, font, ink, paper, width, align)

    canvas.text = text
