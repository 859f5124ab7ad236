"""The rig: addresses without clashes, and refusals that say which fixture holds which slots."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.show import rig_edit, rig_file
from firmware.show.rig import Rig


def test_first_free_run_fills_gaps():
    rig = Rig()
    a = rig.add("dim", "A")
    b = rig.add("rgbw", "B")
    c = rig.add("dim16", "C")
    assert [(f.address, f.last()) for f in (a, b, c)] == [(1, 1), (2, 5), (6, 7)]
    rig_edit.remove(rig, b)
    assert rig.add("tint", "D").address == 2
    assert rig.add("white", "E").address == 8  # the one slot left at 5 is too short
    assert rig.add("dim", "F").address == 5


@pytest.mark.parametrize(("address", "words"), [
    (3, "Clash: Key holds 2-4"), (1, "Clash: Key holds 2-4"),
    (0, "Address 0: can be 1 to 2.512"),
    (1025, "Address 1025: can be 1 to 2.512"),
    (-1, "can be 1 to 2.512"), (511, "end at 513: 512 is the last"), ("5", "can be"),
])
def test_refusals_say_who_and_where(address, words):
    rig = Rig()
    rig.add("tint", "Key", 2)
    with pytest.raises(ValueError, match=words):
        rig.add("tint", "Fill", address)
    assert [f.name for f in rig.fixtures] == ["Key"]


def test_move_keeps_the_old_address_when_refused():
    rig = Rig()
    rig.add("tint", "Key", 10)
    fill = rig.add("tint", "Fill", 20)
    with pytest.raises(ValueError, match="Clash: Key holds 10-12"):
        rig_edit.move(rig, fill, 12)
    assert fill.address == 20
    rig_edit.move(rig, fill, 21)  # over its own slots is no clash
    assert fill.address == 21


def test_swap_refuses_a_model_that_does_not_fit():
    rig = Rig()
    key = rig.add("dim", "Key", 1)
    rig.add("dim", "Fill", 2)
    with pytest.raises(ValueError, match="Clash: Fill holds 2$"):
        rig_edit.swap(rig, key, "rgb")
    assert key.personality.id == "dim"


def test_a_full_rig_and_a_full_universe():
    rig = Rig()
    for _ in range(64):
        rig.add("raw8")
    assert rig.fixtures[-1].last() == 512
    with pytest.raises(ValueError, match="full: 64 fixtures"):
        rig.add("dim")
    rig = Rig()
    for _ in range(16):
        rig.add("raw32")
    with pytest.raises(ValueError, match="No room for 1 slots: the longest free run is 0"):
        rig.add("dim")


def test_names():
    rig = Rig()
    rig.add("dim", "Key")
    with pytest.raises(ValueError, match="Key is taken: slots 1$"):
        rig.add("dim", "Key")
    with pytest.raises(ValueError, match="Name too long: 25 letters, can be 24"):
        rig.add("dim", "x" * 25)
    with pytest.raises(ValueError, match="needs a name"):
        rig_edit.rename(rig, rig.fixtures[0], "  ")
    assert [rig.add("dim").name for _ in range(3)] == ["Dimmer", "Dimmer 2", "Dimmer 3"]


def test_the_map_of_slots():
    rig = Rig()
    rig.add("dim", "A", 1)
    rig.add("rgb", "B", 510)
    used = rig.used()
    assert len(used) == 512
    assert (used[0], used[1], used[508], used[509], used[511]) == (1, 0, 0, 2, 2)


ASKS = st.tuples(st.sampled_from(["dim", "rgb", "full16", "raw32"]), st.integers(1, 1024) | st.none())


@given(st.lists(ASKS, max_size=30))
def test_no_two_fixtures_ever_share_a_slot(asks):
    rig = Rig()
    for ident, address in asks:
        try:
            rig.add(ident, None, address)
        except ValueError:
            continue
    slots = [s for f in rig.fixtures for s in range(f.address, f.last() + 1)]
    assert len(slots) == len(set(slots))
    assert all(1 <= s <= 1024 for s in slots)
    assert all((f.address - 1) // 512 == (f.last() - 1) // 512 for f in rig.fixtures)  # none lies in both universes
    assert sum(1 for s in rig.used() if s) == len(slots)


def test_a_rig_comes_back_and_leaves_out_what_is_wrong():
    rig = Rig()
    rig.add("dim", "A", 5)
    key = rig.add("full16", "Key", 100)
    rig_edit.trim(rig, key, free=1, lag=120)
    rig_edit.remove(rig, rig.fixtures[0])
    again = Rig()
    assert rig_file.unpack(again, rig_file.pack(rig)) == []
    assert [(f.uid, f.name, f.address, f.personality.id, f.trims) for f in again.fixtures] == [
        (2, "Key", 100, "full16", {"free": 1, "lag": 120})]
    assert again.add("dim", "B").uid == 3  # uids are never given again

    bad = rig_file.pack(rig)
    bad["fixtures"].append({"uid": 9, "name": "Ghost", "personality": "nothing", "address": 1, "trims": {}})
    bad["fixtures"].append({"uid": 10, "name": "Low", "personality": "dim", "address": 1100, "trims": {}})
    third = Rig()
    faults = rig_file.unpack(third, bad)
    assert len(third) == 1
    assert "Ghost left out: No personality called nothing" in faults[0]
    assert "Low left out: Address 1100: can be 1 to 2.512" in faults[1]


def test_the_trims_and_ticks_of_one_fixture_are_not_the_others():
    rig = Rig()
    one, other, third = (rig.add("dim", name) for name in ("A", "B", "C"))
    rig_edit.trim(rig, one, lag=80)
    rig_edit.tick(rig, other, True)
    assert (one.trims, other.trims, third.trims) == ({"lag": 80}, {"set": [2, "dim"]}, {})
    rig_edit.trim(rig, one, lag=None)
    rig_edit.tick(rig, third, False)
    assert (one.trims, third.trims, rig.add("dim", "D").trims) == ({}, {}, {})
