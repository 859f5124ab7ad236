"""make(board): the Board of a board file on an RP2040 or RP2350. Called by firmware/start, which drops it again.

State machines: ports send from 0 and 1 of the first PIO and listen on 4 and 5 of the second; the knob is on 7; where a
port answers RDM, 2 tells when its line is at rest.
DMA channels: two for each port out, two for each port in once it listens, two for the knob.
The order matters: what the last run held is read before new memory is laid over it, and the lines are started
before the panel, which takes 130 ms.
"""

import machine
import uctypes
from machine import Pin
from micropython import const

from firmware.wire.dmx import SLOTS_MAX
from hal.board_parts import Power
from hal.make import assemble, usb_pin
from hal.rp2.knob import Knob
from hal.rp2.line import Line
from hal.rp2.line_in import LineIn
from hal.rp2.pio_programs import DMX_OUT_HZ, dmx_out
from hal.rp2.restart_memory import RestartMemory

_FIRST_IN = const(4)  # state machine of the first port's receiving side
_KNOB = const(7)
_SOFT_TIMER = const(-1)
_ADC_MAX = const(65535)
_ADC_MAX_MV = const(3300)
# A word that a restart leaves alone: the watchdog's SCRATCH1. restart_memory has SCRATCH0, the SDK uses 4 to 7.
_WORD = {"rp2040": 0x40058010, "rp2350": 0x400D8010}


def make(described, light=None, outs=1):
    """described: the module of a board file; light: a function that returns the slots which the ports send at once
    where no restart left them any, one after the other, or None for none; outs: how many ports send."""
    knob = described.KNOB
    lines = _lines(described, light, outs)
    power = _power(uctypes.struct(_WORD[described.CHIP], {"value": uctypes.UINT32}), described.POWER)
    board = assemble(described, lines, power, Knob(_KNOB, knob["a"], knob["detent"]), _SOFT_TIMER,
                     outs)
    if hasattr(described, "WIFI"):
        board.radio = "hal.rp2.radio"
    return board


def _lines(described, light, outs):
    """The ports. Each that sends begins at once with what it sent before a restart, else with its part of `light`."""
    sending = [n for n, port in enumerate(described.LINES) if port["use"] == "out" or n < outs]
    memory = RestartMemory(described.CHIP, len(sending))
    lines, kept = [], None
    for n, port in enumerate(described.LINES):
        line_in = None if port["rx"] is None else LineIn(_FIRST_IN + n, port["rx"])
        if n not in sending:
            lines.append(Line(n, port["tx"], port["drive"], None, line_in))
            lines[n].drive = False
            tx = lines[n]._tx  # a port that listens may have to answer (rdm_in), when nobody has the program any more
            lines[n]._machine.init(dmx_out, freq=DMX_OUT_HZ, out_base=tx, set_base=tx)
            continue
        place = sending.index(n)
        held = memory.held(place)
        lines.append(Line(n, port["tx"], port["drive"], memory.store(place), line_in, held))
        if light and not held:
            kept, light = light(), None
        first = held or kept and kept[SLOTS_MAX * place:SLOTS_MAX * (place + 1)]
        if first:
            lines[n].send(first)
    return tuple(lines)


def _power(word, described):
    measure = None if described["adc"] is None else machine.ADC(Pin(described["adc"])).read_u16
    times = int(_ADC_MAX_MV * described["divider"])
    # The watchdog does both kinds of restart.
    restarted = "watchdog" if machine.reset_cause() == machine.WDT_RESET else "power"
    return Power(restarted, usb_pin(described), measure, times, _ADC_MAX, word)
