"""hal/rp2/make.py puts a board together, and a restart brings the light back: on the emulated chip, with stand-ins for
the parts of `machine` that have no emulated counterpart here."""

import sys
import types

import pytest
from rp2040py.peripherals.psm import PSM_BITS_MASK

import boards
from tests.wire.chip import Chip
from tests.wire.test_rp2_line import packets

ROSC_XOSC = 0b11  # what the SDK leaves out of a watchdog's reset (from memory)
PSM_WDSEL = 0x40010008


class Part:
    """Any peripheral: remembers nothing, allows everything."""

    RX = STEREO = 0

    def __init__(self, *_arguments, **_options):
        self.settings = _options

    def __getattr__(self, name):
        return lambda *arguments, **options: 0x7FFF


class Board:
    """A chip with everything that make() asks of `machine`; boot() is what a start of the firmware does."""

    def __init__(self, chip, name):
        self.chip = chip
        self.deaf = False
        machine = sys.modules["machine"]
        machine.__dict__.update(
            PWM=Part, Timer=Part, SPI=Part, I2C=Part, ADC=Part, WDT=Part, PWRON_RESET=1, WDT_RESET=3,
            reset_cause=lambda: 3 if chip.mcu.watchdog._reason else 1, reset=self.restart)
        self.described = boards.load(name)

    def boot(self, light=None, outs=1):
        """light: slots that are kept on flash; outs: how many ports send."""
        chip = self.chip
        memory = chip.module("restart_memory")
        memory.gc = types.SimpleNamespace(collect=lambda: None, mem_free=lambda: 100_000)
        memory._above = lambda _most, size: chip.block(size)
        time = types.SimpleNamespace(ticks_ms=chip.ticks_ms, ticks_diff=chip.ticks_diff)
        for name in ("hal.make", "hal.board_parts"):
            __import__(name)
            sys.modules[name].time = time
        sys.modules["hal.make"]._panel = lambda panel, now: types.SimpleNamespace(
            driver=panel["driver"], now=now, begin=self.begin)
        return chip.module("make").make(self.described, lambda: light, outs)

    def begin(self):
        """Of the panel: does not answer where `deaf` is set."""
        if self.deaf:
            raise OSError(116)  # ETIMEDOUT, as machine.I2C has it where nobody pulls the bus up

    def restart(self):
        """The watchdog restarts the chip: all blocks are reset, memory and scratch registers stay."""
        chip = self.chip
        chip.mcu.watchdog._reason = 1
        chip.mcu.write_uint32(PSM_WDSEL, PSM_BITS_MASK & ~ROSC_XOSC)
        chip.mcu.enter_reset(from_watchdog=True)
        for channel in chip.mcu.dma.channels:
            channel.abort()  # the emulator forgets to: on a chip a reset ends every transfer
        chip.forget()


@pytest.fixture
def chip():
    with Chip() as chip:
        yield chip


@pytest.mark.parametrize("name", ["pico2_tft", "pico_tft", "pico_oled", "pico2_w_tft"])
def test_makes_every_board(chip, name):
    chip.mcu.peripherals[0x400D8] = chip.mcu.watchdog  # where the RP2350 has it
    board = Board(chip, name)
    made = board.boot()
    assert (made.name, made.chip) == (board.described.NAME, board.described.CHIP)
    assert len(made.lines) == len(board.described.LINES)
    assert [line.drive for line in made.lines] == [port["use"] == "out" for port in board.described.LINES]
    assert all(line.has_input for line in made.lines)
    assert made.keys.names == (*board.described.KEYS, "foot")
    falling = sys.modules["machine"].Pin.IRQ_FALLING
    assert [pin.interrupt for pin in made.keys._pins] == [(made.keys.fell, falling, True)] * len(made.keys.names)
    assert made.knob.turns() == 0
    assert made.panel.driver == board.described.PANEL["driver"]
    assert made.power.restarted == "power"
    radio = name == "pico2_w_tft"
    full = 3300 * (2 if radio else 3)  # of the divider on the board, or that of the module
    assert made.power.battery_mv() == pytest.approx(0x7FFF * full / 65535, abs=1)
    assert getattr(made, "radio", None) == ("hal.rp2.radio" if radio else None)
    assert made.lines[0].held() is None


def test_a_restart_brings_the_light_back_at_once(chip):
    board = Board(chip, "pico_tft")
    edges = chip.watch(0)
    light = bytes((7 * n + 3) & 255 for n in range(512))
    board.boot().lines[0].send(light)
    chip.run(60_000)
    board.restart()
    restarted = chip.ns
    chip.run(30_000)
    assert [e for e in edges if e[0] > restarted + 1000] == [], "the line is idle while the chip starts"
    made = board.boot()
    chip.run(60_000)
    assert made.lines[0].held() == light
    assert made.power.restarted == "watchdog"
    found, _ = packets([e for e in edges if e[0] >= restarted + 30_000_000])
    assert {packet for _, packet in found} == {light}
    assert found[0][0] * 1000 - restarted < 1e9, "within 1 s of the restart"


TWO = bytes((7 * n + 3) & 255 for n in range(512)), bytes((11 * n + 5) & 255 for n in range(512))


def sent(edges, since=0):
    """The different packets on a line, and µs of the first break."""
    found, _ = packets([e for e in edges if e[0] >= since])
    return {packet for _, packet in found}, found[0][0]


def test_two_ports_send_what_is_kept_of_each_before_the_panel_is_begun(chip):
    """Both at their full rate: ANSI E1.11 allows 44.1 packets of 512 slots a second."""
    board = Board(chip, "pico_tft")
    edges = chip.watch(0), chip.watch(4)
    board.begin = lambda: chip.run(130_000)  # what an ST7789 takes
    made = board.boot(TWO[0] + TWO[1], 2)
    assert made.outs == 2 and [line.drive for line in made.lines] == [True, True]
    for light, of_line in zip(TWO, edges, strict=True):
        assert sent(of_line)[0] == {light}
        found, _ = packets(of_line)
        gaps = [b[0] - a[0] for a, b in zip(found, found[1:], strict=False)]
        assert len(gaps) >= 4 and all(22_600 < gap < 22_800 for gap in gaps), gaps
    made.lines[1].send(bytes(512))
    chip.run(60_000)
    assert packets(edges[1])[0][-1][1] == bytes(512) and packets(edges[0])[0][-1][1] == TWO[0]


def test_a_restart_brings_both_back_at_once_and_a_port_that_listens_again_is_silent(chip):
    board = Board(chip, "pico_tft")
    edges = chip.watch(0), chip.watch(4)
    made = board.boot(outs=2)
    for line, light in zip(made.lines, TWO, strict=True):
        line.send(light)
    chip.run(60_000)
    board.restart()
    restarted = chip.ns
    made = board.boot(bytes(1024), 2)
    chip.run(60_000)
    assert [line.held() for line in made.lines] == list(TWO)
    assert [sent(of_line, restarted)[0] for of_line in edges] == [{light} for light in TWO]
    board.restart()
    chip.run(1000)
    restarted = chip.ns
    made = board.boot(bytes(1024), 1)
    chip.run(60_000)
    assert made.outs == 1 and not made.lines[1].drive
    assert [e for e in edges[1] if e[0] > restarted] == [] and sent(edges[0], restarted)[0] == {TWO[0]}
    board.restart()  # the run before had one port: what lies behind its block is nobody's
    made = board.boot(None, 2)
    assert made.lines[0].held() == TWO[0] and made.lines[1].held() is None


def test_what_is_kept_for_one_port_leaves_the_second_silent_until_the_app(chip):
    board = Board(chip, "pico_tft")
    edges = chip.watch(0), chip.watch(4)
    made = board.boot(TWO[0], 2)
    chip.run(60_000)
    assert sent(edges[0])[0] == {TWO[0]} and packets(edges[1])[0] == [] and made.lines[1].drive


def test_the_kept_light_is_on_the_line_before_the_panel_is_begun(chip):
    board = Board(chip, "pico_tft")
    edges = chip.watch(0)
    kept = bytes((5 * n + 1) & 255 for n in range(512))
    board.begin = lambda: chip.run(130_000)  # what an ST7789 takes
    started = chip.ns
    made = board.boot(kept)
    found, _ = packets(edges)
    assert {packet for _, packet in found} == {kept}
    assert found[0][0] * 1000 - started < 10e6
    assert made.lines[0].held() is None, "no restart has left it"


def test_what_a_restart_left_goes_before_what_is_kept(chip):
    board = Board(chip, "pico_tft")
    board.boot(bytes(512)).lines[0].send(bytes([7] * 512))
    chip.run(60_000)
    board.restart()
    edges = chip.watch(0)
    board.boot(bytes(512))
    chip.run(60_000)
    found, _ = packets(edges)
    assert {packet for _, packet in found} == {bytes([7] * 512)}


def test_a_panel_that_does_not_answer_stops_nothing(chip):
    board = Board(chip, "pico_oled")
    board.deaf = True
    made = board.boot()
    made.lines[0].send(bytes(512))
    assert made.panel.driver == "sh1106"


def test_restarts_are_counted_until_the_device_is_calm(chip):
    board = Board(chip, "pico_tft")
    assert board.boot().power.crashes == 0
    for n in (1, 2, 3):
        board.restart()
        made = board.boot()
        assert (made.power.crashes, made.power.restarted) == (n, "watchdog")
    made.power.calm()
    assert made.power.crashes == 0
    made.power.restart()
    made = board.boot()
    assert (made.power.crashes, made.power.restarted) == (1, "reset")
    board.restart()
    assert board.boot().power.restarted == "watchdog"


def test_a_restart_that_was_asked_for(chip):
    board = Board(chip, "pico_tft")
    made = board.boot()
    made.lines[0].send(bytes(100))
    made.power.restart()
    made = board.boot()
    assert made.power.restarted == "reset"
    assert made.lines[0].held() == bytes(100)


def test_loss_of_power_forgets(chip):
    board = Board(chip, "pico_tft")
    board.boot().lines[0].send(bytes(100))
    chip.mcu.watchdog.reset()
    chip.mcu.enter_reset()
    chip.forget()
    made = board.boot()
    assert made.lines[0].held() is None
    assert made.power.restarted == "power"
