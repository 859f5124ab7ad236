"""hal/rp2's programs run cycle by cycle in rp2040-pio-emulator: words in, edges out; edges in, items out."""

import importlib
import sys
import types
from collections import deque

from pioemu import State, emulate

from tests.wire import pio


def program(name):
    """A program of hal/rp2/pio_programs.py, assembled by the stand-in for rp2.asm_pio."""
    rp2 = types.ModuleType("rp2")
    rp2.PIO, rp2.asm_pio = pio.PIO, pio.asm_pio
    was = {key: sys.modules.pop(key, None) for key in ("rp2", "hal.rp2.pio_programs")}
    sys.modules["rp2"] = rp2
    try:
        module = importlib.import_module("hal.rp2.pio_programs")
        return getattr(module, name), module
    finally:
        for key, value in was.items():
            sys.modules.pop(key, None)
            if value is not None:
                sys.modules[key] = value


def send(words, until_us):
    """Edges (ns, level) that `dmx_out` makes of the words (an iterator; the queue never runs dry) up to a time."""
    code, module = program("dmx_out")
    cycle_ns = 1_000_000_000 // module.DMX_OUT_HZ
    words = iter(words)
    queue = deque(next(words) for _ in range(4))
    start = State(pin_values=1, pin_directions=1, transmit_fifo=queue)
    edges, level = [], 1
    limit = until_us * 1000 // cycle_ns
    for before, after in emulate(code.code, stop_when=lambda _op, state: state.clock > limit, initial_state=start,
                                 out_count=1, set_count=1, wrap_target=code.wrap_target, wrap_top=code.wrap):
        if after.pin_values & 1 != level:
            level = after.pin_values & 1
            edges.append((before.clock * cycle_ns, level))
        while len(after.transmit_fifo) < 4:
            after.transmit_fifo.append(next(words))
    return edges


def hear(edges, until_ns):
    """The items that `dmx_in` pushes for a waveform, up to a time."""
    code, module = program("dmx_in")
    cycle_ns = 1_000_000_000 // module.DMX_IN_HZ
    items, place, level = [], 0, 1

    def pin(clock: int) -> int:
        nonlocal place, level
        while place < len(edges) and edges[place][0] <= clock * cycle_ns:
            level = edges[place][1]
            place += 1
        return level

    for _, after in emulate(code.code, stop_when=lambda _op, state: state.clock * cycle_ns > until_ns,
                            input_source=pin, wrap_target=code.wrap_target, wrap_top=code.wrap,
                            shift_isr_right=True, shift_osr_right=True, auto_push=True, push_threshold=16):
        while after.receive_fifo:
            items.append(after.receive_fifo.popleft() >> 16)
    return items
