"""Personalities: the generic ones fill the slots they say, bad ones are refused by name, files bring them back."""

import pytest

from firmware.show.personality_build import build, pack, unpack
from firmware.show.personality_builtin import idents, personality


@pytest.mark.parametrize("ident", idents())
def test_a_generic_personality_fills_every_slot_once(ident):
    p = personality(ident)
    slots = sorted(s for c in p.channels for s in (c[1], c[2]) if s >= 0)
    assert slots == list(range(p.slots))
    for _does, coarse, fine, low, high, default, snap in p.channels:
        assert fine in (-1, coarse + 1)  # ANSI E1.20 and common practice: coarse first, fine next
        assert low < high
        assert 0 <= default <= 65535
        assert snap in (0, 1)


@pytest.mark.parametrize(("ident", "slots"), [
    ("dim", 1), ("dim16", 2), ("white", 2), ("white16", 4), ("tint", 3), ("full", 6), ("full16", 12),
    ("rgb", 3), ("rgbw", 4), ("rgbww", 5), ("rgbww16", 10), ("raw1", 1), ("raw32", 32)])
def test_slot_counts(ident, slots):
    assert personality(ident).slots == slots


def test_raw_goes_from_1_to_32():
    for ident in ("raw0", "raw33", "raw", "rawx", "nothing"):
        with pytest.raises(ValueError, match="No personality called"):
            personality(ident)


@pytest.mark.parametrize("ident", idents())
def test_a_personality_comes_back_from_its_file_form(ident):
    p = personality(ident)
    q = unpack(pack(p))
    assert (q.id, q.name, q.slots) == (p.id, p.name, p.slots)
    assert q.channels == p.channels
    assert q.emitters == p.emitters


@pytest.mark.parametrize(("channels", "words"), [
    ([], "0 channels"),
    ([("level", 0, -1, 0, 1, 0, 0), ("cct", 0, -1, 2700, 6500, 0, 0)], "slot 1 is both level and cct"),
    ([("level", 0, 0, 0, 1, 0, 0)], "slot 1 is both level and level"),
    ([("level", 512, -1, 0, 1, 0, 0)], "slot 513 is outside"),
    ([("cct", 0, -1, 3200, 3200, 0, 0)], "no range"),
    ([("level", 0, -1, 0, 1, 70000, 0)], "outside 0-65535"),
    ([("level", 0, -1)], "3 fields"),
    ([("", 0, -1, 0, 1, 0, 0)], "without a name"),
])
def test_what_is_wrong_is_said(channels, words):
    with pytest.raises(ValueError, match=words):
        build("odd", "Odd", channels)


def test_what_a_lamp_can_do():
    assert [personality(i).has("cct") for i in ("dim", "white", "rgb", "raw4")] == [False, True, True, False]
    assert [personality(i).has("level") for i in ("dim", "rgb", "raw4")] == [True, True, False]
    assert [personality(i).has("mix") for i in ("full", "rgb")] == [True, False]
    assert personality("raw3").extras() == ["slot1", "slot2", "slot3"]
    assert personality("rgbw").extras() == []
