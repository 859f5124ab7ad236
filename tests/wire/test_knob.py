"""hal/rp2/knob.py on an emulated RP2040's PIO and DMA: every detent at hand speed, none from bounce.

Contacts bounce for up to 3 ms (data sheets of mechanical encoders; from memory). A hand turns 4 turns a second of 24
detents at the very most (common practice, no source): 96 detents a second.
"""

import random

import pytest

from tests.wire.chip import Chip

A, B = 10, 11


class Hand:
    """Turns the two contacts: edges for both pins."""

    def __init__(self, dice, bounce_ms):
        self.dice, self.bounce_ns = dice, bounce_ms * 1_000_000
        self.edges = {A: [], B: []}
        self.level = {A: 1, B: 1}
        self.now = 3_000_000

    def quarter(self, pin, level, ns):
        """One contact changes, bouncing, and the next quarter comes ns later."""
        until = self.now + min(self.bounce_ns, ns * 0.7)
        at = self.now
        while at < until:
            self.edges[pin] += [(round(at), level), (round(at + self.dice.uniform(1e4, 4e5)), 1 - level)]
            at = self.edges[pin][-1][0] + self.dice.uniform(1e4, 4e5)
        self.edges[pin].append((round(at), level))
        self.level[pin] = level
        self.now = max(self.now + ns, at + 1)

    def turn(self, detents, per_second):
        ns = 1e9 / per_second / 4
        for _ in range(abs(detents)):
            steps = [(A, 0), (B, 0), (A, 1), (B, 1)]
            if detents < 0:
                steps = [(B, 0), (A, 0), (B, 1), (A, 1)]
            for pin, level in steps:
                self.quarter(pin, level, ns)


@pytest.fixture
def chip():
    with Chip() as chip:
        yield chip


def counted(chip, hand, every_us=20_000, detent=4):
    for pin, edges in hand.edges.items():
        chip.play(pin, edges)
    knob = chip.module("knob").Knob(7, A, detent)
    total, end = 0, hand.now + 10_000_000
    while chip.ns < end:
        chip.run(every_us)
        total += knob.turns()
    return total


@pytest.mark.parametrize("detents, per_second, bounce_ms", [
    (+12, 10, 0), (-12, 10, 0), (+20, 96, 0), (-20, 96, 0), (+12, 30, 3), (-12, 30, 3), (+3, 5, 3)])
def test_every_detent_counts_once(chip, detents, per_second, bounce_ms):
    hand = Hand(random.Random(detents), bounce_ms)
    hand.turn(detents, per_second)
    assert counted(chip, hand) == detents


def test_to_and_fro(chip):
    hand = Hand(random.Random(5), 2)
    for detents in (3, -5, 1, -1, 6):
        hand.turn(detents, 25)
    assert counted(chip, hand) == 4


def test_half_a_detent_and_back_is_nothing(chip):
    hand = Hand(random.Random(6), 2)
    for pin, level in ((A, 0), (B, 0), (B, 1), (A, 1)) * 3:
        hand.quarter(pin, level, 9e6)
    assert counted(chip, hand) == 0


def test_trembling_at_rest_is_nothing(chip):
    hand = Hand(random.Random(7), 3)
    for _ in range(10):
        hand.quarter(A, 0, 9e6)
        hand.quarter(A, 1, 9e6)
    assert counted(chip, hand) == 0


def test_nothing_is_lost_while_the_processor_is_held_up(chip):
    # A 4 KB sector takes 45 ms to erase, 400 ms at worst (flash data sheets; from memory).
    hand = Hand(random.Random(8), 1)
    hand.turn(12, 30)
    assert counted(chip, hand, every_us=400_000) == 12


def test_encoders_with_two_quarters_a_detent(chip):
    hand = Hand(random.Random(9), 1)
    hand.turn(4, 20)
    assert counted(chip, hand, detent=2) == 8


def test_starts_between_detents(chip):
    """The knob was left half-way at power-up: the first move to a rest is at most one detent."""
    hand = Hand(random.Random(10), 0)
    hand.edges[A].append((0, 0))
    for pin, level in ((B, 0), (A, 1), (B, 1)):
        hand.quarter(pin, level, 5e6)
    hand.turn(2, 20)
    assert counted(chip, hand) in (2, 3)
