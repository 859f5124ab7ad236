"""PIO: our own programs and random ones against rp2040-pio-emulator, pin for pin and cycle for cycle."""

import itertools
import random

from pioemu import State, emulate

from sim import wave
from tests.chip.bare import Bare, needs_compiler
from tests.wire import emulated

pytestmark = needs_compiler
PIO = 0x50200000
SM = PIO + 0xC8  # machine 0
CLKDIV, EXECCTRL, SHIFTCTRL, INSTR, PINCTRL = SM, SM + 4, SM + 8, SM + 16, SM + 20
TXF, RXF, FSTAT = PIO + 0x10, PIO + 0x20, PIO + 4
RESETS, SET, CLEAR = 0x4000C000, 0x2000, 0x3000
PINS = range(8)


def _load(bare, code, wrap_target, wrap, function=6):
    for n, word in enumerate(code):
        bare.write(PIO + 0x48 + 4 * n, word)
    bare.write(EXECCTRL, wrap << 12 | wrap_target << 7)
    bare.write(CLKDIV, 1 << 16)
    for pin in PINS:
        bare.write(0x40014004 + 8 * pin, function)


def _directions(bare, pins):
    """All of the pins out and low."""
    for pin in pins:
        bare.write(PINCTRL, pin << 5 | 1 << 26)
        bare.write(INSTR, 0xE081)  # set pindirs 1
        bare.write(INSTR, 0xE000)  # set pins 0


def _random_program(dice):
    """Jumps, sets, moves, shifts and pulls, with delays and one side-set bit. No moves to pins: those of
    rp2040-pio-emulator reach pins beyond its OUT pins; nor reversed moves: it drops the leading zeros first."""
    code = [0x80A0]  # pull block
    size = dice.randrange(4, 20)
    while len(code) < size:
        kind, extra = dice.randrange(7), dice.randrange(8) << 8 | dice.randrange(2) << 12
        if kind == 0:
            word = dice.randrange(6) << 5 | dice.randrange(size)
        elif kind == 1:
            word = 0xE000 | dice.choice((0, 1, 2)) << 5 | dice.randrange(32)
        elif kind == 2:
            word = 0xA000 | dice.choice((1, 2, 6, 7)) << 5 | dice.randrange(2) << 3 | dice.choice((1, 2, 3, 6, 7))
        elif kind == 3:
            word = 0x6000 | dice.choice((0, 1, 2, 3)) << 5 | dice.randrange(32)
        elif kind == 4:
            word = 0x4000 | dice.choice((1, 2, 3, 6, 7)) << 5 | dice.randrange(32)
        elif kind == 5:
            word = 0x8080 | dice.randrange(2) << 5
        else:
            code.append(0xA0E8 | dice.choice((1, 2)))  # mov osr, !x or !y: to be seen on the pins
            word = 0x6004
        code.append(word | extra)
    return code


def _levels(edges, start, cycles):
    """The pins' level at each cycle, as one number."""
    levels = [0] * cycles
    for pin, changes in edges.items():
        for (ns, level), (until, _) in zip(changes, changes[1:] + [(10**12, 0)]):
            if level:
                for n in range(max(0, ns // 8 - start), min(cycles, until // 8 - start)):
                    levels[n] |= 1 << pin
    return levels


def test_random_programs_as_rp2040_pio_emulator():
    """Pins 0 to 2 are set, 3 to 6 out, 7 side."""
    dice, cycles = random.Random(7), 300
    bare = Bare(cache=False)
    for n in range(250):
        code = _random_program(dice)
        words = [dice.getrandbits(32) for _ in range(4)]
        target, right_in, right_out = dice.randrange(len(code)), dice.randrange(2), dice.randrange(2)
        bare.write(RESETS + SET, 1 << 10)
        bare.write(RESETS + CLEAR, 1 << 10)
        _load(bare, code, target, len(code) - 1)
        bare.write(SHIFTCTRL, right_out << 19 | right_in << 18)
        _directions(bare, PINS)
        bare.write(PINCTRL, 1 << 29 | 3 << 26 | 4 << 20 | 7 << 10 | 3)
        for pin in PINS:
            bare.chip.watch(pin)
        for word in words:
            bare.write(TXF, word)
        start = bare.now + 1
        bare.write(PIO, 1)
        bare.chip.run((cycles + 50) * 8e-6)
        from_emulator = [0] * cycles
        fifo = emulated.deque(words)
        for before, after in emulate(code, stop_when=lambda _op, state: state.clock > cycles,
                                     initial_state=State(pin_directions=255, transmit_fifo=fifo), set_count=3,
                                     out_base=3, out_count=4, side_set_base=7, side_set_count=1, wrap_target=target,
                                     wrap_top=len(code) - 1, shift_isr_right=bool(right_in),
                                     shift_osr_right=bool(right_out)):
            for cycle in range(before.clock, min(after.clock, cycles)):
                from_emulator[cycle] = after.pin_values & 255
        found = _levels(bare.chip.edges, start, cycles)
        assert found == from_emulator, f"program {n}: {[hex(word) for word in code]}, {target}, {right_in}, {right_out}"


def test_dmx_out_to_the_cycle():
    """The line's program, from a FIFO that never runs dry: edges as rp2040-pio-emulator makes them."""
    slots = bytes(range(40))
    words = [24 | 1, (92 - 29) << 11 | len(slots) << 1, 12 - 5, 0, *slots]
    code, module = emulated.program("dmx_out")
    bare = Bare()
    _load(bare, code.code, code.wrap_target, code.wrap)
    bare.write(SHIFTCTRL, 1 << 19)
    bare.write(CLKDIV, 125_000_000 * 256 // module.DMX_OUT_HZ << 8)
    bare.write(PINCTRL, 1 << 20 | 1 << 26)
    bare.write(INSTR, 0xE001)
    bare.write(INSTR, 0xE081)
    edges, left = bare.chip.watch(0), list(words)
    bare.write(PIO, 1)
    while left or not bare.read(FSTAT) >> 24 & 1:
        while left and not bare.read(FSTAT) >> 16 & 1:
            bare.write(TXF, left.pop(0))
        bare.pass_cycles(500)
    bare.chip.run(0.1)
    wanted = emulated.send(itertools.chain(words, itertools.repeat(1)), 5_000)
    found = [(ns - edges[1][0], level) for ns, level in edges[1:]]
    wanted = [(ns - wanted[0][0], level) for ns, level in wanted][: len(found)]
    assert len(found) > 100 and found == wanted


def test_dmx_in_hears():
    """The receiver's program: a packet's slots in its FIFO, as rp2040-pio-emulator pushes them."""
    slots = bytes(range(5, 25))
    edges, end = wave.packet(200_000, slots)
    edges.append((end + 100_000, 0))
    edges.append((end + 300_000, 1))
    code, module = emulated.program("dmx_in")
    bare = Bare()
    for pin in PINS:
        bare.write(0x4001C004 + 4 * pin, 1 << 6)
    _load(bare, code.code, code.wrap_target, code.wrap)
    bare.write(SHIFTCTRL, 16 << 20 | 1 << 19 | 1 << 18 | 1 << 16)
    bare.write(CLKDIV, 125_000_000 * 256 // module.DMX_IN_HZ << 8)
    bare.write(PINCTRL, 0)
    bare.chip.drive(0, 1)
    base = bare.chip.ns
    for ns, level in edges:
        bare.chip.drive(0, level, ns)
    bare.write(PIO, 1)
    items = []

    def take():
        while not bare.read(FSTAT) >> 8 & 1:
            items.append(bare.read(RXF) >> 16)

    while bare.chip.ns < base + edges[-1][0] + 20_000:
        bare.chip.run(0.005)
        take()
    wanted = emulated.hear(edges, edges[-1][0] + 20_000)
    assert [item & 255 for item in items if item >> 8 == 255][: len(slots) + 1] == [0, *slots]
    close = [abs(a - b) <= 2 for a, b in zip(items, wanted)]  # times are counted in steps of 0.4 µs: phase differs
    assert len(items) == len(wanted) and all(close), (items, wanted)


def test_a_divider_with_a_fraction():
    """Data sheet 3.5.5: the machine's clock is the system's over integer + fraction/256; a toggle of two instructions
    over 12.5 cycles each has a period of 25 cycles."""
    bare = Bare()
    _load(bare, (0xE001, 0xE000), 0, 1)
    bare.write(CLKDIV, 12 << 16 | 128 << 8)
    _directions(bare, (0,))
    edges = bare.chip.watch(0)
    bare.write(PIO, 1)
    bare.chip.run(1)
    rises = [ns for ns, level in edges[1:] if level]
    assert {b - a for a, b in zip(rises, rises[1:])} == {200}


def test_moves_to_pins_and_reversed():
    """Data sheet 3.4.8: MOV PINS writes the OUT pins alone; :: reverses all 32 bits."""
    bare = Bare()
    _load(bare, (), 0, 0)
    bare.write(SHIFTCTRL, 0)  # to the left: the highest bit comes first
    _directions(bare, PINS)
    bare.write(PINCTRL, 3 << 20 | 2)
    levels = []
    for word in (0xE031, 0xA0F1, 0x6004, 0xA001, 0xA013):  # set x, 17; mov osr, ::x; out pins, 4; mov pins, x; ::null
        bare.write(INSTR, word)
        levels.append(bare.core.level() & 255)
    assert levels == [0, 0, 0, 0b000_001_00, 0]
    bare.write(INSTR, 0xA0F1)
    bare.write(INSTR, 0x6001)
    assert bare.core.level() & 255 == 0b000_001_00, "bit 0 of 17, reversed, is the highest"


def test_irq_flags_reach_the_processor_and_wait():
    """Data sheet 3.4.9: IRQ with wait holds the machine until the flag is cleared; flag 0 is an interrupt."""
    bare = Bare()
    _load(bare, (0xC020, 0xE001, 0x0002), 0, 2)  # irq wait 0; set pins 1; jmp to itself
    _directions(bare, (0,))
    edges = bare.chip.watch(0)
    bare.write(PIO + 0x12C, 1 << 8)
    bare.write(PIO, 1)
    bare.pass_cycles(100)
    assert bare.read(PIO + 0x30) == 1 and bare.read(0xE000E200) >> 7 & 1
    assert [level for _, level in edges if level] == []
    bare.write(PIO + 0x30, 1)
    bare.chip.run(0.01)
    assert edges[-1][1] == 1 and not bare.read(PIO + 0x134)


def test_joined_fifos_and_autopush():
    """Data sheet 3.5.6: joined, one FIFO has eight entries; autopush holds the machine while it is full."""
    bare = Bare()
    _load(bare, (0x4028,), 0, 0)  # in x, 8
    bare.write(SHIFTCTRL, 1 << 31 | 8 << 20 | 1 << 16)
    bare.write(INSTR, 0xE025)  # set x, 5
    bare.write(PIO, 1)
    bare.pass_cycles(100)
    assert bare.read(PIO + 0xC) >> 4 & 15 == 8 and bare.read(FSTAT) & 1
    assert [bare.read(RXF) for _ in range(3)] == [5, 5, 5]
