"""What can be done with the lamps that are chosen on the Light page, and with the light that is on. Opened by Light."""

from firmware.parts import once
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import undo_edits, undo_light

_STORE, _UPDATE, _DROP, _PICK, _UNDO = "Store new look", "Store in", "Drop change", "Pick lamps", "Undo"
_GIVE = "Give to feed"
_OUT, _FULL = "Out", "Full"
_POCKET = 2  # the rule POCKET of stage/feed_tables.py: the pocket alone holds a lamp
_NAME, _FOLLOWS, _RIG = "Name", "Master", "Address, kind, trims"


class Page(ListPage):
    """item: the chosen row, a fixture or the words of the row; fixtures: those of the row."""

    parent = "light"
    hints = (("push", "confirm"), ("back", "Light"))

    def __init__(self, app, item, fixtures):
        ListPage.__init__(self, app)
        self.lamp = None if isinstance(item, str) else item
        self.fixtures = fixtures
        self.title = self.lamp.name if self.lamp else item.replace(" lamps", "")
        self.items = [_STORE]
        if app.stage.look:
            once("firmware.ui.pages.looks.look_changed", "check", app.stage)
            self.items += [_UPDATE, _DROP] if app.stage.edited else [_UPDATE]
        if self.lamp:
            self.items += [_NAME, _FOLLOWS]
        if fixtures:
            self.items += [_OUT, _FULL]
        self.taken = [f for f in fixtures if app.feed and app.feed.rule(f) == _POCKET]
        if self.taken:
            self.items += [_GIVE]
        self.items += [_PICK] + ([_RIG] if self.lamp else []) + ([_UNDO] if app.undo else [])

    def row(self, item):
        if item == _UPDATE:
            return item + " " + self.app.stage.look, ""
        if item == _FOLLOWS:
            return item, "exempt" if self.lamp.trims.get("free") else "follows"
        if item == _UNDO:
            return item, self.app.undo[-1][0]
        return item, ""

    def choose(self, item):
        app = self.app
        if item == _STORE:
            app.open("look_store")
        elif item == _NAME:
            app.open("name", "lamp", self.lamp.name, ("light",),
                     once, "firmware.ui.pages.undo_edits", "rename_lamp", app, self.lamp)
        elif item == _PICK:
            app.open("light_pick")
        elif item == _RIG:
            app.open("lamp", self.lamp)
        else:
            self._do(item)
            app.open("light")

    def _do(self, item):
        app, stage = self.app, self.app.stage
        if item == _UPDATE:
            app.try_to(undo_edits.store_over, app, stage.look, said="Stored in " + stage.look)
        elif item == _DROP:
            taken = undo_light.take(stage, app.show.rig.fixtures)
            if app.try_to(stage.go, stage.look):
                app.can_undo("Change of " + stage.look, once, "firmware.ui.pages.undo_light", "put_back", stage, taken)
        elif item == _GIVE:
            once("firmware.ui.pages.light.light_feed", "give", app, {f.uid: 0 for f in self.taken})
        elif item == _UNDO:
            app.undo_last()
        elif item == _FOLLOWS:
            exempt = None if self.lamp.trims.get("free") else 1
            app.try_to(undo_edits.set_trim, app, self.lamp, "free", exempt,
                       said="%s %s" % (self.lamp.name, "is exempt from the master" if exempt else "follows the master"))
        else:
            taken = undo_light.take(stage, self.fixtures)
            app.can_undo("level: " + self.title, once, "firmware.ui.pages.undo_light", "put_back", stage, taken)
            for f in self.fixtures:
                stage.dial(f, level=1 if item == _FULL else 0)
