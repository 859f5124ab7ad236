"""One lamp of the rig: its name, address, kind and trims. Opened by Rig, by the actions of Light, and for a new
lamp."""

from firmware.parts import once
from firmware.show import rig_edit
from firmware.show.address import at, reach
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import undo_edits
from firmware.universe import LAMPS, SLOTS

_CURVES = ("linear", "square", "s", "log")
_LAG_MOST = 3000
_LAG_STEP = 5  # ms; 5 ms off are 0.02 stop where a fade is steepest (tests/bench/agree.py)
_MORE, _MOST, _PLACE = "More of these", "Output at most", "Place in list"
_ASK, _PORT = "Ask the lamp", "Port"
_DIALLED = ("Address", "Lag", "Curve", _MORE, _MOST, _PLACE)


class Page(ListPage):
    """fixture: the lamp; new: it has just been added, and its address comes next. What is dialled shows in the row, and
    is done with the push that ends dialling; only the place in the list changes at once."""

    parent = "rig"
    items = ("Name", "Address", _MORE, "Kind", "Master", "Curve", "Lag", _MOST, _PLACE, "Remove")
    hints = (("push", "change"), ("back", "Rig"))

    def __init__(self, app, fixture, new=False):
        ListPage.__init__(self, app)
        self.fixture = fixture
        self.at = 1 if new else 0
        self.title = fixture.name
        if "rdm" in fixture.trims:
            self.items = self.items[:-1] + (_ASK, self.items[-1])
        if app.show.rig.universes > 1:
            self.items = self.items[:2] + (_PORT,) + self.items[2:]
        # While the knob dials: the address, the lag in ms, the place in _CURVES, how many more, per cent of the output;
        # for _PLACE the place as it was.
        self.value = None

    def row(self, item):
        f = self.fixture
        dialled = self.value if self.dialling and item == self.item() else None
        if item == "Name":
            return item, f.name
        if item == "Address":
            return item, reach(f.address if dialled is None else dialled, f.personality.slots, "–")
        if item == _PORT:
            return item, "%d" % ((f.address - 1) // SLOTS + 1)
        if item == "Kind":
            return item, f.personality.name.replace("Dimmer + ", "")
        if item == "Master":
            return item, "exempt" if f.trims.get("free") else "follows"
        if item == "Curve":
            curve = f.trims.get("curve", "linear") if dialled is None else _CURVES[dialled]
            return item, curve if isinstance(curve, str) else "measured"
        if item == "Lag":
            return item, "%d ms" % (f.trims.get("lag", 0) if dialled is None else dialled)
        if item == _PLACE:
            return item, "%d" % (self.app.show.rig.fixtures.index(f) + 1)
        if item == _MOST:
            return item, "%d %%" % (f.trims.get("most", 100) if dialled is None else dialled)
        if item == _MORE and dialled is not None:
            return item, "%d" % dialled
        return item, ""

    def choose(self, item):
        app, f = self.app, self.fixture
        if item == "Name":
            app.open("name", "lamp", f.name, ("lamp", f), once, "firmware.ui.pages.undo_edits", "rename_lamp", app, f)
        elif item == "Kind":
            app.open("lamp_kind", f)
        elif item == _PORT:
            to = (f.address + SLOTS - 1) % (2 * SLOTS) + 1
            app.try_to(undo_edits.move_lamp, app, f, to, said="Set %s to address %s" % (f.name, at(to)))
        elif item == "Master":
            app.try_to(undo_edits.set_trim, app, f, "free", None if f.trims.get("free") else 1)
        elif item == _ASK:
            app.open("rdm_lamp", int(f.trims["rdm"][0].replace(":", ""), 16), f.name, ("lamp", f))
        elif item == "Remove":
            app.try_to(undo_edits.remove_lamp, app, f, said="%s removed. Undo: back, push" % f.name)
            app.open("rig")
        else:
            self.value = {"Address": f.address, "Lag": f.trims.get("lag", 0), "Curve": self._curve(),
                          _MORE: 1, _MOST: f.trims.get("most", 100), _PLACE: app.show.rig.fixtures.index(f)}[item]
            self.start_dialling()

    def _curve(self):
        curve = self.fixture.trims.get("curve", "linear")
        return _CURVES.index(curve) if curve in _CURVES else 0

    def dials(self, item):
        return item in _DIALLED

    def dial(self, item, detents):
        if item == "Address":
            self._dial_address(detents)
        elif item == _MORE:
            self.value = max(1, min(LAMPS * self.app.show.rig.universes - 1, self.value + detents))
        elif item == _MOST:
            self.value = max(10, min(100, self.value + detents))
        elif item == "Lag":
            self.value = max(0, min(_LAG_MOST, self.value + _LAG_STEP * detents))
        elif item == "Curve":
            self.value = max(0, min(len(_CURVES) - 1, self.value + (1 if detents > 0 else -1)))
        else:
            rig = self.app.show.rig
            rig_edit.reorder(rig, self.fixture, rig.fixtures.index(self.fixture) + (1 if detents > 0 else -1))

    def _dial_address(self, detents):
        """Go on, over the last slots of the first universe, where the lamp does not fit, into the second."""
        slots = self.fixture.personality.slots
        universes = max(self.app.show.rig.universes, (self.fixture.address - 1) // SLOTS + 1)
        value = max(1, min(universes * SLOTS + 1 - slots, self.value + detents))
        over = (value - 1) % SLOTS + slots - SLOTS
        if over > 0:
            value += slots - over if detents > 0 else -over
        self.value = value

    def cancel(self, item):
        if item == _PLACE:
            rig_edit.reorder(self.app.show.rig, self.fixture, self.value)

    def accept(self, item):
        app, f, value = self.app, self.fixture, self.value
        if item == "Address":
            app.try_to(undo_edits.move_lamp, app, f, value, said="Set %s to address %s" % (f.name, at(value)))
        elif item == _MOST:
            app.try_to(undo_edits.set_trim, app, f, "most", value if value < 100 else None)
        elif item == _MORE:
            undo_edits.add_more(app, f, value)
        elif item == "Lag":
            app.try_to(undo_edits.set_trim, app, f, "lag", value or None)
        elif item == "Curve":
            app.try_to(undo_edits.set_trim, app, f, "curve", _CURVES[value] if value else None)
        else:
            app.try_to(app.show.save_rig)

    def list_hint(self):
        if self.item() in _DIALLED:
            return ("push", "change"), ("push+turn", "set it"), ("turn", "choose"), ("back", "Rig")
        return ListPage.list_hint(self)
