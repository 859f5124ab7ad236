"""The desktop's line against ANSI E1.11's timing, and as the contract says."""

import pytest

from sim.line import Line


class Clock:
    def __init__(self):
        self.now = 0

    def us(self):
        return self.now

    def ms(self):
        return self.now // 1000


@pytest.fixture
def clock():
    return Clock()


def ramp(first, count=512):
    return bytes((first + n) & 255 for n in range(count))


def test_default_timing_is_within_e111(clock):
    # ANSI E1.11 transmitter timing: break >= 92 µs, mark after break >= 12 µs, slot 44 µs; the standard's
    # 512-slot packets go at up to 44 a second.
    line = Line(clock)
    line.send(ramp(0))
    clock.now = 1_000_000
    starts = [start for start, _ in line.packets]
    edges = list(line.edges())
    assert edges[1][0] - edges[0][0] >= 92_000
    assert edges[2][0] - edges[1][0] >= 12_000
    assert 1e6 / (starts[1] - starts[0]) >= 44.0


@pytest.mark.parametrize("hz, period", [(1, 1_000_000), (30, 33_334), (44, 22_728), (800, 22_716)])
def test_refresh(clock, hz, period):
    line = Line(clock, hz=hz)
    line.send(ramp(0))
    clock.now = 4_000_000
    starts = [start for start, _ in line.packets]
    assert {b - a for a, b in zip(starts, starts[1:], strict=False)} == {period}


def test_a_frame_is_swapped_between_packets(clock):
    line = Line(clock)
    line.send(bytes(512))
    clock.now = 10_000
    line.send(b"\xff" * 512)
    clock.now = 40_000
    assert line.frame == bytes(512)
    clock.now = 46_000
    assert line.frame == b"\xff" * 512
    # the second packet starts at 22,716; its slot 1 ends after break, mark, start code and itself
    assert line.change_us(1, since_us=10_000) == 22_716 + 128 + 16 + 88


def test_idle_until_the_first_frame(clock):
    line = Line(clock)
    clock.now = 50_000
    line.send(ramp(1))
    clock.now = 80_000
    assert line.packets == [(50_000, ramp(1))]


def test_restart_holds_and_power_cut_forgets(clock):
    line = Line(clock)
    line.send(ramp(1))
    clock.now = 30_000
    line.restart()
    assert line.held() == ramp(1)
    clock.now = 90_000
    assert len(line.packets) == 1, "the packet under way broke off, and none follows"
    line.send(line.held())
    line.cut()
    assert line.held() is None


def test_undriven_line_is_idle(clock):
    line = Line(clock)
    line.send(ramp(1))
    clock.now = 1_000
    line.drive = False
    clock.now = 60_000
    assert line.packets == []
    assert list(line.edges())[-1] == (1_000_000, 1)
    line.drive = True
    clock.now = 90_000
    assert line.packets == [(60_000, ramp(1))]


def test_send_copies(clock):
    line, slots = Line(clock), bytearray(512)
    line.send(slots)
    slots[0] = 255
    clock.now = 30_000
    assert line.frame == bytes(512)


@pytest.mark.parametrize("count", [0, 1, 23, 513, 600])
def test_refuses_lengths_outside_24_to_512(clock, count):
    with pytest.raises(ValueError, match="24 to 512"):
        Line(clock).send(bytes(count))


_WRONG = [{"break_us": 91}, {"mark_us": 11}, {"hz": 831}, {"hz": -1}, {"break_us": 990_000}]


@pytest.mark.parametrize("wrong", _WRONG)
def test_refuses_timing_outside_e111(clock, wrong):
    with pytest.raises(ValueError):
        Line(clock).timing(**wrong)


def test_hears_its_own_packets(clock):
    one, two = Line(clock), Line(clock)
    two.drive = False
    one.send(ramp(7))
    clock.now = 100_000
    two.receive_edges(one.edges())
    assert two.counts["good"] == 4
    assert bytes(two.received()) == ramp(7)
    assert two.received() is None


def test_hears_nothing_while_it_drives(clock):
    line = Line(clock)
    line.receive(ramp(3), us=500)
    clock.now = 700
    assert line.received() is None


def test_every_packet_in_turn(clock):
    """Three packets wait: the newest alone, or each, the oldest first; more than the ring holds are lost."""
    for every, want in ((False, [3]), (True, [1, 2, 3])):
        line = Line(clock)
        line.drive, line.every = False, every
        for n in (1, 2, 3):
            line.receive(bytes([n] * 512), us=clock.now + n)
        clock.now += 10
        got = []
        while (slots := line.received()) is not None:
            got.append(slots[0])
        assert got == want
    line.every = True
    for n in range(7):
        line.receive(ramp(n), us=clock.now + n)
    clock.now += 10
    assert line.received() is None
    assert line.counts["lost"] == 1


def test_receive_in_time(clock):
    line = Line(clock)
    line.drive = False
    line.receive(ramp(3), us=500)
    line.receive(b"text", start_code=0x17, us=600)  # E1.11: alternate start code, text packet
    assert line.received() is None
    clock.now = 700
    assert bytes(line.received()) == ramp(3)
    assert line.counts["alternate"] == 1
    clock.now = 2_000_000
    assert line.received() is None
    assert line.counts["lost"] == 1
