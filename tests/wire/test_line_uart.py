"""hal/line_uart.py against ANSI E1.11, on a UART that behaves as MicroPython's documentation says: a driver with a
buffer, a rate, 8N2; edges come out."""

import pytest

from hal import line_uart
from sim import wave
from tests.wire.heard import heard


class Uart:
    """Edges of what was written. Changing the rate while sending would garble: that is an error here."""

    def __init__(self, clock):
        self.clock, self.edges, self.free_ns, self.bit_ns = clock, [], 0, 0

    def init(self, baudrate, bits, parity, stop):
        assert (bits, parity, stop) == (8, None, 2)
        assert self.txdone(), "the rate changed in the middle of a slot"
        self.bit_ns = 1e9 / baudrate

    def write(self, data):
        assert len(data) <= line_uart.TXBUF
        self.free_ns = max(self.free_ns, self.clock.ns)
        for value in bytes(data):
            self.edges += [(round(ns), level) for ns, level in wave.slot(self.free_ns, value, self.bit_ns)]
            self.free_ns += 11 * self.bit_ns
        return len(data)

    def txdone(self):
        return self.clock.ns >= self.free_ns


class Clock:
    """Time, and the one timer. late_ns: how late it calls."""

    def __init__(self, late_ns=60_000):
        self.ns, self.late_ns, self.due, self.callback = 0, late_ns, None, None

    def init(self, mode, period, callback):
        assert mode == 0 and period >= 1
        self.due, self.callback = self.ns + period * 1_000_000 + self.late_ns, callback

    def ms(self):
        return self.ns // 1_000_000 % (1 << 30)  # ticks_ms wraps there (MicroPython: port's small ints)

    def run(self, ms):
        end = self.ns + ms * 1_000_000
        while self.due is not None and self.due <= end:
            self.ns, self.due = self.due, None
            self.callback(self)
        self.ns = end


def port(begin_ms=0, **more):
    clock = Clock()
    clock.ns = begin_ms * 1_000_000
    uart = Uart(clock)
    return clock, uart, line_uart.Line(uart, clock, clock.ms, **more)


def packets(uart):
    return heard(uart.edges)


@pytest.mark.parametrize("break_us, mark_us", [(92, 12), (128, 16), (176, 100), (4000, 12)])
def test_timing_is_within_e111(break_us, mark_us):
    # E1.11, transmitter: break >= 92 µs, mark after break >= 12 µs and < 1 s, break to break 1,204 µs to 1 s.
    clock, uart, line = port()
    line.timing(0, break_us, mark_us)
    line.send(bytes(range(256)) * 2)
    clock.run(300)
    lows = [(a, b - a) for (a, low), (b, _) in zip(uart.edges, uart.edges[1:], strict=False)
            if not low and b - a >= 88_000]
    assert all(break_us * 1000 <= length <= break_us * 1020 for _, length in lows)
    after = [next(ns for ns, low in uart.edges if ns > start + length and not low) - start - length
             for start, length in lows[:-1]]
    assert min(after) >= mark_us * 1000
    spaces = [b - a for (a, _), (b, _) in zip(lows, lows[1:], strict=False)]
    assert max(spaces) < 1e9
    assert 1e9 / max(spaces) >= 38 or break_us > 1000, "about 40 a second"


def test_packets_are_whole():
    clock, uart, line = port()
    for n in range(40):
        line.send(bytes([n]) * (512 if n % 2 else 100))
        clock.run(7)
    found, counts = packets(uart)
    assert len(found) > 8
    assert all(len(set(packet)) == 1 for packet in found)
    assert sum(counts.values()) == counts["good"]


@pytest.mark.parametrize("hz", [1, 10, 30])
def test_refresh_limit(hz):
    clock, uart, line = port()
    line.timing(hz=hz)
    line.send(bytes(512))
    clock.run(4000)
    starts = [a for (a, low), (b, _) in zip(uart.edges, uart.edges[1:], strict=False) if not low and b - a >= 88_000]
    spaces = [(b - a) / 1e9 for a, b in zip(starts, starts[1:], strict=False)]
    assert max(1 / s for s in spaces) <= hz * 1.02, "the timer counts whole milliseconds"
    assert min(1 / s for s in spaces) >= hz * 0.95
    assert max(spaces) < 1, "E1.11: break to break <= 1 s"


@pytest.mark.parametrize("power", [28, 29, 30, 31, 32])
@pytest.mark.parametrize("hz", [0, 10])
def test_packets_go_on_where_ticks_wrap(power, hz):
    """At each millisecond of a packet and of the break before it."""
    for ahead in range(200, 200 + (100 if hz else 25)):
        clock, uart, line = port(begin_ms=(1 << power) - ahead)
        line.timing(hz=hz)
        line.send(bytes(24))
        clock.run(600)
        edges = uart.edges
        starts = [a for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a >= 88_000]
        spaces = [(b - a) / 1e6 for a, b in zip(starts, starts[1:], strict=False)]
        assert starts[0] // 1_000_000 < 1 << power < starts[-1] // 1_000_000
        assert max(spaces) < (110 if hz else 30), ahead


def test_drive_and_store():
    levels, stored = [], []
    clock, uart, line = port(drive=levels.append, store=stored.append, held=b"\x05" * 30)
    assert line.held() == b"\x05" * 30
    assert not line.has_input and line.received() is None
    line.send(bytes(30))
    clock.run(50)
    line.drive = False
    clock.run(30)
    count = len(uart.edges)
    clock.run(100)
    assert len(uart.edges) == count
    line.drive = True
    clock.run(50)
    assert levels == [1, 0, 1]
    assert len(uart.edges) > count
    assert stored == [bytes(30)]


def test_refuses_what_it_cannot_make():
    line = port()[2]
    for wrong in ({"break_us": 91}, {"break_us": 9_001}, {"mark_us": 11}, {"hz": 900}):
        with pytest.raises(ValueError):
            line.timing(**wrong)
    with pytest.raises(ValueError):
        line.send(bytes(5))
