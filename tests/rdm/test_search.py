"""Discovery against lamps that misbehave. What must come out is who is on the cable: ANSI E1.20's discovery finds every
responder that can be muted."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from firmware.wire.rdm_search import Search
from firmware.wire.rdm_talk import Talk
from sim.rdm_lamps import Cable, Lamp
from tests.rdm.talks import run

# A maker's lamps lie close together, makers' numbers far apart.
UIDS = st.one_of(st.integers(0, 0xFFFFFFFFFFFE), st.integers(0x7FF000000000, 0x7FF000000400))


def found(cable):
    """(Search after its run, Talk)."""
    talk = Talk(34_000)
    search = Search(talk)
    run(talk, search.run(), cable)
    return search, talk


def bound(count):
    """Requests that a search may take: two unmutes, three silent looks from the top, and for each lamp at most its
    whole path of 48 branches twice, its mute and one look again. (A binary tree; common practice.)"""
    return 5 + 100 * count


@settings(max_examples=25, deadline=None)
@given(st.sets(UIDS, max_size=200))
def test_all_are_found_and_none_twice(uids):
    search, talk = found(Cable([Lamp(uid) for uid in uids]))
    assert sorted(search.found) == sorted(uids)
    assert not search.unruly and not search.garbled and not search.stopped
    assert talk.asked <= bound(len(uids))


class OneLevelWins(Cable):
    """Answers at once lie on each other to the bit, and one level wins over the other."""

    level = 0

    def _together(self, answers):
        data = bytearray(answers[0][1])
        for _wait, other, _led in answers[1:]:
            data = bytearray(a | b if self.level else a & b for a, b in zip(data, other, strict=True))
        return answers[0][0], bytes(data), answers[0][2]


@settings(max_examples=60, deadline=None)
@given(st.sets(UIDS, min_size=2, max_size=6), st.integers(0, 1))
def test_answers_that_hide_each_other(uids, level):
    """Several at once may look like one of them, or seldom like another: still all are found and no other."""
    cable = OneLevelWins([Lamp(uid) for uid in uids])
    cable.level = level
    search, _talk = found(cable)
    assert sorted(search.found) == sorted(uids)
    assert not search.unruly


def test_the_first_and_the_last_uid():
    for uids in ({0}, {0xFFFFFFFFFFFE}, {0, 0xFFFFFFFFFFFE}, {0xFFFFFFFFFFFD, 0xFFFFFFFFFFFE}):
        assert set(found(Cable([Lamp(uid) for uid in uids]))[0].found) == uids


class Rig(RuleBasedStateMachine):
    """A cable that people plug lamps into and pull them from; each search then finds who is there."""

    @initialize(uids=st.sets(UIDS, max_size=120), seed=st.integers(0, 99))
    def begin(self, uids, seed):
        self.cable = Cable([Lamp(uid, seed=seed) for uid in uids], seed)
        self.answers = []

    @rule(uids=st.sets(UIDS, max_size=80))
    def plug(self, uids):
        there = {lamp.uid for lamp in self.cable.lamps}
        room = 200 - len(there)
        self.cable.lamps += [Lamp(uid) for uid in sorted(uids - there)[:room]]

    @rule(data=st.data())
    def pull(self, data):
        if self.cable.lamps:
            self.cable.lamps.pop(data.draw(st.integers(0, len(self.cable.lamps) - 1)))

    @rule(share=st.sampled_from((0.0, 0.05, 0.1)))
    def loose(self, share):
        """Some miss requests now and then."""
        for lamp in self.cable.lamps[::3]:
            lamp.faults["misses"] = share

    @rule()
    def search(self):
        self.answers.append((sorted(found(self.cable)[0].found), sorted(lamp.uid for lamp in self.cable.lamps)))

    @invariant()
    def found_those_that_are_there(self):
        for got, there in getattr(self, "answers", ()):
            assert got == there
        self.answers = []


Rig.TestCase.settings = settings(max_examples=15, stateful_step_count=8, deadline=None,
                                 suppress_health_check=list(HealthCheck))
test_a_rig_that_changes = Rig.TestCase


@pytest.mark.parametrize("seed", range(4))
def test_one_that_cannot_be_muted_hides_nobody(seed):
    dice = random.Random(seed)
    uids = sorted({dice.randrange(0x7FF000000000, 0x7FF0FFFFFFFF) for _ in range(20)})
    lamps = [Lamp(uid) for uid in uids]
    for lamp in lamps[3:5]:
        lamp.faults["deaf"] = True
    search, _talk = found(Cable(lamps, seed))
    assert sorted(search.found) == uids
    assert set(search.unruly) == set(uids[3:5])
    assert not search.stopped


def test_two_with_one_uid_are_found_once():
    lamps = [Lamp(5000), Lamp(5000), Lamp(5001), Lamp(9)]
    search, _talk = found(Cable(lamps))
    assert sorted(search.found) == [9, 5000, 5001]


class Apart(Cable):
    """Two with one UID whose answers do not lie on each other to the bit."""

    def _together(self, answers):
        return answers[0][0], bytes(b ^ 1 for b in answers[0][1]), answers[0][2]


def test_two_with_one_uid_that_nobody_can_read_are_said():
    search, _talk = found(Apart([Lamp(5000), Lamp(5000), Lamp(77)]))
    assert 77 in search.found and 5000 not in search.found
    assert search.garbled == [5000] and not search.stopped


def test_those_that_answer_too_late_do_not_hang_it():
    lamps = [Lamp(uid) for uid in (17, 1 << 40, 99)]
    lamps[1].faults["late"] = True  # its answers to a mute; those to a branch are in time
    search, talk = found(Cable(lamps))
    assert sorted(search.found) == [17, 99] and lamps[1].muted
    assert talk.asked < 150


def test_a_line_in_short_circuit_and_one_that_rings():
    cable = Cable([Lamp(5)])
    cable.short = True
    search, talk = found(cable)
    assert search.found == [] and not search.stopped and talk.asked < 10
    cable = Cable([Lamp(5)])
    cable.noise = True
    search, talk = found(cable)
    assert search.found == [] and search.stopped == "the line is disturbed" and talk.asked < 150


def test_an_answer_to_a_mute_that_was_lost_leaves_nobody_out():
    """The mute works, its three answers are flipped: from then on the lamp is silent, and still it is found."""

    class Flipping(Lamp):
        mutes = 0

        def answer(self, packet):
            out = super().answer(packet)
            if packet[22] == 2 and out:
                self.mutes += 1
                if self.mutes <= 3:
                    return out[0], bytes([out[1][0] ^ 1]) + out[1][1:], out[2]
            return out

    search, _talk = found(Cable([Flipping(321), Lamp(322)]))
    assert sorted(search.found) == [321, 322]
