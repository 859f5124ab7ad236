"""hal/rp2/rdm_in.py on the PIO and DMA of an emulated RP2040, whose processor does no more than the interrupt's
handler: every edge of an answer against ANSI E1.20's times for a responder (from memory): it begins 176 us to 2.0 ms
after the request's last slot; break 176 to 352 us, mark 12 to 88 us; no break before a discovery's answer; the driver
is released within 88 us of the last stop bit."""

import pytest

from firmware.wire import rdm
from firmware.wire.rdm_responder import Responder
from sim import wave
from tests.rdm import edges as heard_edges
from tests.rdm.test_responder import UID, asked, branch, parsed
from tests.wire.chip import Chip

TX, RX, DRIVE = 4, 5, 6
LATE_US, WORK_US = 20, 600  # until the interrupt is heard, and until its handler is done
TIMES = ((0, 10), (LATE_US, WORK_US), (450, 1_100))  # the last: what the loop may ever keep it waiting, and its longest


class Port:
    """The port in of a board, with what answers on it."""

    def __init__(self, chip, late_us=LATE_US, work_us=WORK_US):
        self.chip = chip
        chip.mcu.gpio[RX].set_input_value(True)
        out = chip.module("line").Line(0, 0, 2, chip.block(chip.module("line_records").SIZE))
        out.send(bytes(24))  # the lamps' line goes on meanwhile
        self.line = chip.module("line").Line(1, TX, DRIVE, None, chip.module("line_in").LineIn(5, RX))
        self.line.drive = False
        programs = chip.module("pio_programs")  # as make has it
        self.line._machine.init(programs.dmx_out, freq=programs.DMX_OUT_HZ, out_base=self.line._tx,
                                set_base=self.line._tx)
        self.responder = Responder(UID.to_bytes(6, "big"), "0.1.0", b"Stage left")
        out, (_address, self.responder.out) = self.responder.out, chip.block(len(self.responder.out))
        self.responder.out[:] = out
        chip.module("rdm_in").time = chip
        self.begin()
        self.tx, self.enable = chip.watch(TX), chip.watch(DRIVE)
        chip.late_us, chip.work_us = late_us, work_us
        chip.run(500)

    def begin(self):
        self.answers = self.chip.module("rdm_in").Answers(self.line, "rp2040")
        self.chip.module("rdm_in_lay").begin(self.answers, self.responder, rdm.encode(UID))

    def ask(self, packet, gap_us=0, run_us=6_000):
        """A request comes in -> ns at the end of its last stop bit. gap_us: between its slots."""
        begin = self.chip.ns + 10_000
        edges, _end = wave.packet(begin, packet[1:], 200, 20, packet[0])
        if gap_us:
            edges, now = edges[:2], begin + 220_000
            for value in packet:
                edges += wave.slot(now, value)
                now += 44_000 + 1000 * gap_us
        self.chip.play(RX, edges)
        end = begin + 220_000 + 44_000 * len(packet) + 1000 * gap_us * (len(packet) - 1)
        self.chip.run((end - self.chip.ns) / 1000 + run_us)
        return end

    def driven(self):
        """[(ns on, ns off)] of the driver."""
        levels = [e for e in self.enable if e[1] or e is not self.enable[0]]
        return [(a[0], b[0]) for a, b in zip(levels[::2], levels[1::2], strict=True)]

    def sent(self, on, off):
        """The edges on the pin while the driver was on, from a mark on."""
        return [e for e in self.tx if on <= e[0] <= off]


@pytest.fixture
def chip():
    with Chip() as chip:
        yield chip


@pytest.mark.parametrize("late_us, work_us", TIMES)
def test_every_edge_of_an_answer(chip, late_us, work_us):
    port = Port(chip, late_us, work_us)
    packet = asked(rdm.GET, 0x82)
    end = port.ask(packet)
    [(on, off)] = port.driven()
    [(start, low, mark, slots, last)] = heard_edges.packets([*port.sent(on, off), (off + 1, 0)])
    assert parsed(slots, packet) == (0, b"Stage left")
    assert on - end >= 176_000 and start - end <= 2_000_000
    assert start > on and 176_000 <= low <= 352_000 and 12_000 <= mark <= 88_000
    assert last == start + low + mark + 44_000 * len(slots), "no gap between slots"
    assert 0 < off - last <= 88_000 and off - last < 20_000


@pytest.mark.parametrize("late_us", (500, 900, 45_000))
def test_an_interrupt_that_is_heard_late_is_not_answered(chip, late_us):
    """While flash is written: the desk may send again by then."""
    port = Port(chip, late_us)
    for packet in (asked(rdm.GET, 0x60), branch(0, UID)):
        port.ask(packet, run_us=60_000)
    assert not port.driven()
    chip.late_us = LATE_US
    port.ask(branch(0, UID))
    assert len(port.driven()) == 1


@pytest.mark.parametrize("late_us, work_us", TIMES)
def test_a_discoverys_answer_has_no_break(chip, late_us, work_us):
    """The line is at rest, driven, and then comes the first start bit."""
    port = Port(chip, late_us, work_us)
    end = port.ask(branch(0, UID))
    [(on, off)] = port.driven()
    edges = port.sent(on, off)
    slots, first, last = heard_edges._slots(edges)
    assert slots == rdm.encode(UID)
    assert edges[0] == (first, 0) and on - end >= 176_000 and first - end <= 2_000_000
    assert first - on > 8_000, "two bits of mark, at the least"
    assert 0 < off - last <= 20_000
    falls = [ns for ns, level in port.tx if not level and end < ns < on]
    assert len(falls) == 1, "the break that nobody sees, with the driver off"


def test_it_is_silent_where_e1_20_wants_silence(chip):
    port = Port(chip)
    port.ask(asked(rdm.SET, 0x1000, b"\1", rdm.ALL))
    assert port.responder.identify == 1
    bad = bytearray(asked(rdm.GET, 0x60))
    bad[-1] ^= 1
    for packet in (bytes(bad), asked(rdm.GET, 0x60, to=UID + 1), branch(0, UID - 1), asked(rdm.GET, 0x60, to=rdm.ALL)):
        port.ask(packet, run_us=3_000)
    assert not port.driven()


@pytest.mark.parametrize("gap_us", (76, 250, 1_900))
def test_slots_with_gaps_between_them(chip, gap_us):
    """Up to 2.0 ms between two slots of a request; in some gaps the line comes to rest many times."""
    port = Port(chip)
    packet = asked(rdm.GET, 0x1000)
    end = port.ask(packet, gap_us)
    [(on, off)] = port.driven()
    assert on >= end + 176_000
    assert parsed(heard_edges.packets([*port.sent(on, off), (off + 1, 0)])[0][3], packet) == (0, b"\0")


def test_the_feed_goes_on(chip):
    """DMX512 packets before and after requests are received, and the lamps' line is not torn."""
    port = Port(chip)
    lamps = chip.watch(0)
    for n in range(8):
        edges, end = wave.packet(chip.ns + 5_000, bytes([n] * 40))
        chip.play(RX, edges)
        chip.run((end - chip.ns) / 1000 + 100)
        packet = asked(rdm.GET, 0xC0, number=n)
        port.ask(packet, run_us=3_500)
        taken = port.line.received()
        assert taken is not None and bytes(taken) == bytes([n] * 40)
    assert len(port.driven()) == 8
    assert {p[3] for p in heard_edges.packets(lamps)[1:-1]} == {bytes(25)}
    assert port.line.counts["alternate"] >= 7 and port.line.counts["framing"] == 0


def test_full_packets_cost_nothing(chip):
    """A packet of 512 slots is more than any request, and is passed over."""
    port = Port(chip)
    edges, end = wave.packet(chip.ns + 5_000, bytes([0xCC]) * 512)
    chip.play(RX, edges)
    chip.run((end - chip.ns) / 1000 + 1_000)
    assert not port.driven()
    port.ask(asked(rdm.GET, 0x60))
    assert len(port.driven()) == 1


@pytest.mark.parametrize("after_us", (0, 300, 900, 1_500, 3_000))
def test_closed_at_any_moment_it_lets_go_and_listens_on(chip, after_us):
    port = Port(chip)
    port.ask(asked(rdm.GET, 0x60), run_us=after_us)
    port.answers.close()
    port.answers.memory[:] = bytes(len(port.answers.memory))
    assert len(port.enable) % 2 == 0 or port.enable[-1][1] == 0
    count = len(port.driven())
    port.ask(asked(rdm.GET, 0x60))
    assert len(port.driven()) == count, "it answers no longer"
    edges, end = wave.packet(chip.ns + 5_000, bytes(range(30)))
    chip.play(RX, edges + wave.packet(end, b"")[0])
    chip.run((end - chip.ns) / 1000 + 600)
    assert bytes(port.line.received()) == bytes(range(30))


def test_it_can_begin_again(chip):
    """The PIO's memory has room for its program once more."""
    port = Port(chip)
    for n in range(3):
        port.answers.close()
        port.begin()
        port.ask(asked(rdm.GET, 0x60))
        assert len(port.driven()) == n + 1


def test_two_devices_differ(chip):
    lay = chip.module("rdm_in_lay")
    first = lay.ident()
    lay.unique_id = lambda: b"\xe6\x61\x38\x52\x83\x4b\x7a\x30"
    assert first != lay.ident() and len(first) == 3


def test_a_port_that_sends_says_no(chip):
    port = Port(chip)
    port.line.drive = True
    with pytest.raises(ValueError, match="cannot answer"):
        chip.module("rdm_in").Answers(port.line, "rp2040")
