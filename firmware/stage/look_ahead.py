"""Works out the slot values of the look that comes next, a little in each step, so that a cut to it lands at once. Made
by the player of the running order."""

from firmware.show.fixture_light import CCT, EXTRAS
from firmware.show.look_record import SOFT
from firmware.show.running_order import FADE, LOOK_FADE, NUMBER
from firmware.stage import fade
from firmware.stage import patch_fields as fields


class LookAhead:
    """What is known ahead of the look of one step of the running order."""

    def __init__(self, stage):
        self._stage = stage
        self._for = None  # the step,
        self._number = 0  # its look,
        self._rig_changes = -1  # and the rig that it is worked out for
        self._job = None
        self._lights, self._ends = {}, {}

    def step(self, step):
        """Work out one piece of a step's look, while the stage has nothing to work out itself. None: of none."""
        number, changes = step[NUMBER] if step else 0, self._stage.show.rig.changes
        if step is not self._for or number != self._number or changes != self._rig_changes:
            self._for, self._number, self._rig_changes = step, number, changes
            self._lights, self._ends = {}, {}
            self._job = self._work(number, step[FADE]) if step else None
        if self._job and not self._stage.busy:
            try:
                next(self._job)
            except StopIteration:
                self._job = None

    def ends(self, lights):
        """{uid: values} for `Stage.aim`, of lights as a look has them now; what is not known is left out."""
        if self._rig_changes != self._stage.show.rig.changes:
            return {}
        return {uid: found for uid, found in self._ends.items() if lights.get(uid) == self._lights.get(uid)}

    def _work(self, number, fade_ms):
        looks, patch, known = self._stage.show.looks, self._stage.patch, {}
        try:
            self._lights, its_fade = looks.recall(looks.name_of(number))
        except ValueError:  # it is told when the look's turn has come
            return
        if fade_ms == LOOK_FADE and its_fade & SOFT - 1:  # no cut
            self._lights = {}
        yield
        for i, f in enumerate(self._stage.show.rig.fixtures):
            light = self._lights.get(f.uid)
            if light:
                form = patch.setups[i * fields.SETUP + fields.FORM_AT]
                key = (form,) + tuple(light[CCT:EXTRAS]) + tuple(light[EXTRAS].items())
                if key not in known:
                    miss = patch.miss[i]
                    known[key] = yield from fade.solving(patch, i, f, light, light)
                    patch.miss[i] = miss  # what is on has not changed
                self._ends[f.uid] = known[key]
                yield
