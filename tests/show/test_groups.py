"""Groups: what of them stays when lamps are taken out of the rig, and come back."""

import pytest

from firmware.show import groups, rig_edit
from firmware.show.show import Show
from sim.disk import MemoryDisk


@pytest.fixture
def show():
    made = Show(MemoryDisk({"shows/s/x": b""}), "shows/s")
    for name in ("Key", "Fill", "Back"):
        made.rig.add("dim", name)
    return made


def test_a_lamp_that_comes_back_is_in_all_its_groups(show):
    groups.put(show, "Front", [1, 2])
    groups.put(show, "All", [1, 2, 3])
    key = show.rig.fixtures[0]
    rig_edit.remove(show.rig, key)
    assert groups.load(show)[0] == [["Front", [2]], ["All", [2, 3]]]
    groups.put(show, "Rest", [2, 3])  # another group is kept in the meantime,
    groups.put(show, "All", [2, 3])  # and one of the two
    groups.remove(show, "Rest")
    rig_edit.put_back(show.rig, key, 0)
    assert groups.load(show)[0] == [["Front", [1, 2]], ["All", [2, 3]]]


def test_a_group_without_lamps_gives_way_where_there_are_sixteen(show):
    groups.put(show, "Key alone", [1])
    for n in range(15):
        groups.put(show, "Group %d" % n, [2])
    with pytest.raises(ValueError, match="16 groups"):
        groups.put(show, "One more", [3])
    rig_edit.remove(show.rig, show.rig.fixtures[0])
    groups.put(show, "One more", [3])
    assert len(groups.saved(show)) == 16
