"""A personality from what a lamp says of its slots: SLOT_INFO and slot labels of ANSI E1.20 (from memory)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.show.personality_builtin import idents
from firmware.show.personality_builtin import personality as built_in
from firmware.show.personality_found import personality
from firmware.wire import rdm_pids
from sim.rdm_lamps import SAYS, Lamp

# SD_INTENSITY, SD_COLOR_ADD_RED, _GREEN, _BLUE; SD_PAN, which nothing here works with. From memory.
INTENSITY, RED, GREEN, BLUE, PAN, UNDEFINED = 0x0001, 0x0205, 0x0206, 0x0207, 0x0101, 0xFFFF


@pytest.mark.parametrize("ident", [i for i in idents() if not i.startswith("raw")])
def test_every_built_in_one_is_known_again(ident):
    p = built_in(ident)
    said = rdm_pids.slots(Lamp(1, modes=[("", tuple(c[:3] for c in p.channels))])._slots())
    texts = {c[1]: SAYS[c[0]] for c in p.channels if c[0] in SAYS}
    assert personality("made", "Made", p.slots, said, texts).id == ident


def test_one_that_is_not_built_in_is_made():
    said = [(0, 0, PAN), (1, 0, INTENSITY), (2, 1, 1), (3, 0, RED), (4, 0, GREEN), (5, 0, BLUE), (6, 0, RED)]
    p = personality("made", "Made", 8, said, {})
    assert [c[:3] for c in p.channels] == [("slot1", 0, -1), ("level", 1, 2), ("red", 3, -1), ("green", 4, -1),
                                           ("blue", 5, -1), ("slot7", 6, -1), ("slot8", 7, -1)]
    assert [e[0] for e in p.emitters] == ["red", "green", "blue"] and p.slots == 8


@pytest.mark.parametrize("count, ident", [(1, "dim"), (2, "raw2"), (32, "raw32"), (33, "made")])
def test_a_lamp_that_says_nothing(count, ident):
    p = personality("made", "Made", count, [], {})
    assert (p.id, p.slots) == (ident, count)


@given(st.integers(1, 60), st.lists(st.tuples(st.integers(0, 600), st.integers(0, 255), st.integers(0, 0xFFFF))))
def test_nonsense_makes_a_personality_of_its_slots(count, said):
    assert personality("made", "Made", count, said, {}).slots == count
