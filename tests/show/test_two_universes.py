"""A rig of two universes: addresses in words, what crosses no border, what is full, what a file keeps. ANSI E1.11: a
universe has 512 slots; that a second one's addresses are written 2.101 is common practice, no source."""

import pytest

from firmware.show import address as words_of
from firmware.show import rig_edit, rig_file
from firmware.show.rig import Rig


def two():
    rig = Rig()
    rig.universes = 2
    return rig


@pytest.mark.parametrize(("address", "words", "three"), [
    (1, "1", "1-3"), (512, "512", None), (513, "2.1", "2.1-3"), (613, "2.101", "2.101-103"), (1024, "2.512", None)])
def test_an_address_in_words(address, words, three):
    assert words_of.at(address) == words == words_of.reach(address, 1)
    assert three is None or words_of.reach(address, 3) == three


def test_what_is_set_on_the_lamp_itself():
    assert [words_of.start(address) for address in (1, 512, 513, 613, 1024)] == [1, 512, 1, 101, 512]


@pytest.mark.parametrize(("address", "words"), [
    (613, "Clash: Far holds 2.101-103"), (612, "Clash: Far"), (511, "3 slots from 511 end at 513: 512 is the last"),
    (1023, "3 slots from 2.511 end at 513: 512 is the last")])
def test_refusals_name_the_universe(address, words):
    rig = two()
    rig.add("tint", "Far", 613)
    with pytest.raises(ValueError, match=words):
        rig.add("tint", "Other", address)
    with pytest.raises(ValueError, match="Far is taken: slots 2.101-103"):
        rig.add("tint", "Far")
    rig.add("tint", "Same place on the other", 101)


def test_the_first_free_run_crosses_no_border():
    rig = two()
    for _ in range(15):
        rig.add("raw32")
    rig.add("raw8", None, 489)  # 24 are free in two runs, the longer of 16 at 497
    assert rig.add("raw32").address == 513
    assert rig.add("raw16").address == 497
    assert rig.add("dim").address == 481


def test_a_device_that_sends_one_fills_one():
    rig = Rig()
    rig.add("raw32", None, 513)
    for _ in range(16):
        rig.add("raw32")
    with pytest.raises(ValueError, match="No room for 1 slots: the longest free run is 0"):
        rig.add("dim")
    assert len(rig.used()) == 1024  # but what is there is shown


def test_64_lamps_for_each():
    rig = two()
    for _ in range(128):
        rig.add("raw8")
    assert (rig.fixtures[63].last(), rig.fixtures[64].address, rig.fixtures[-1].last()) == (512, 513, 1024)
    with pytest.raises(ValueError, match="full: 128 fixtures"):
        rig.add("dim")
    # A device that sends one universe, or can send one only, keeps what was patched with two.
    again = Rig()
    assert rig_file.unpack(again, rig_file.pack(rig)) == []
    assert [f.address for f in again.fixtures] == [f.address for f in rig.fixtures]
    assert (again.universes, again.slots()) == (1, 1024)


def test_a_rig_of_one_universe_is_as_long_as_one():
    rig = two()
    far = rig.add("dim", "Far", 513)
    rig.add("dim", "Near")
    assert rig.slots() == 1024
    rig_edit.remove(rig, far)
    assert rig.slots() == 512
    rig_edit.put_back(rig, far, 0)
    assert (rig.slots(), len(rig.used()), rig.used()[512]) == (1024, 1024, 1)
