"""Packets taken off edges that come bit by bit."""

from sim import wave
from tests.chip.line import Packets

PERIOD = 23_000_000


def edges_of(frames):
    """Packets one after the other, and the break after the last."""
    edges = []
    for n, slots in enumerate([*frames, b""]):
        edges += wave.packet(n * PERIOD, slots)[0]
    return edges


def test_packets_come_whole_however_the_edges_come():
    frames = [bytes([n // 2] * 512) for n in range(6)]
    edges, coming = edges_of(frames), []
    line = Packets(coming)
    for at in range(0, len(edges), 977):
        coming += edges[at : at + 977]
        line.take()
    assert line.take() == [(n * PERIOD, slots) for n, slots in enumerate(frames)] and line.bad == 0
    assert len(coming) < 10, "edges that were taken are kept"


def test_since_before_and_change():
    frames = [bytes(512), bytes(512), bytes([7] * 512), bytes([8] * 512)]
    line = Packets(edges_of(frames))
    assert [ns for ns, _ in line.since(PERIOD)] == [PERIOD, 2 * PERIOD, 3 * PERIOD]
    assert line.before(PERIOD) == frames[0] and line.before(0) is None
    assert line.change(PERIOD + 1) == 2 * PERIOD and line.change(2 * PERIOD + 1) == 3 * PERIOD
    assert line.change(3 * PERIOD + 1) is None


def test_a_torn_packet_is_counted():
    edges = edges_of([bytes(512)])
    edges[40:60] = [(edges[40][0], 0), (edges[60][0], 1)]  # as long as a break, and in mid-slot
    line = Packets(edges)
    assert line.take() == [] and line.bad == 2, "neither what is before it nor what is after it is a packet"
