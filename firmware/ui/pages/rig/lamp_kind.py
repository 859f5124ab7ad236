"""Choose a personality: for a new lamp, or for one that is there. Opened by Rig and by the page of a lamp."""

from firmware.show.personality_builtin import idents
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.screen import SAVED
from firmware.ui.pages import undo_edits


class Page(ListPage):
    """fixture: the lamp that is to become another kind; None: a new one at the first free run of slots."""

    title = "Kind and slots"
    hints = (("push", "take it"), ("back", "Rig"))

    def __init__(self, app, fixture):
        ListPage.__init__(self, app)
        self.fixture = fixture
        self.items = [i for i in sorted(app.show.rig.library) if i not in idents()] + idents()

    def row(self, ident):
        p = self.app.show.rig.personality(ident)
        return p.name.replace("Dimmer + ", ""), "%d" % p.slots

    def choose(self, ident):
        app, f = self.app, self.fixture
        if f is None:
            undo_edits.add_lamp(app, ident)
        elif app.try_to(undo_edits.swap_lamp, app, f, ident):
            app.say("%s is now %s" % (f.name, f.personality.name), SAVED)
            app.open("lamp", f)

    def leave(self):
        if self.fixture:
            self.app.open("lamp", self.fixture)
        else:
            self.app.open("rig")
