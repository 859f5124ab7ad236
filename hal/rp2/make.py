"""make(board): the Board of a board file on an RP2040 or RP2350. Called by firmware/main.

State machines: ports send from 0 and 1 of the first PIO and listen on 4 and 5 of the second; the knob is on 7.
DMA channels: two a port out, two a port in once it listens, two for the knob.
The order matters: what the last run kept is read before new memory is laid over it, and the line is started
before the panel, which takes 130 ms.
"""

import machine
from machine import PWM, Pin, Timer, mem32
from micropython import const

from hal.disk import Disk
from hal.hands import Buzzer, Clock, Keys
from hal.panels import make as panels
from hal.rp2 import memory, records
from hal.rp2.ear import Ear
from hal.rp2.knob import Knob
from hal.rp2.line import Line
from hal.rp2.power import ASKED, Power

_HEARS = const(4)
_KNOB = const(7)
_FULL_MV = const(3300)  # of the converter
_SCRATCH = {"rp2040": 0x40058010, "rp2350": 0x400D8010}  # WATCHDOG: SCRATCH1; SCRATCH0 is hal/rp2/memory's


class Board:
    """hal.contract.Board: only attributes."""


def make(described):
    """described: the module of a board file."""
    board = Board()
    board.name, board.chip = described.NAME, described.CHIP
    board.clock = Clock()
    board.lines = _lines(described)
    board.power = _power(_SCRATCH[described.CHIP], described.POWER)
    board.knob = Knob(_KNOB, described.KNOB["a"], described.KNOB["detent"])
    board.keys = _keys(described)
    board.buzzer = Buzzer()
    if described.BUZZER is not None:
        board.buzzer = Buzzer(PWM(Pin(described.BUZZER), freq=1000, duty_u16=0), Timer(-1))
    board.disk = Disk()
    board.panel = panels.make(described.PANEL, board.clock.ms)
    return board


def _lines(described):
    """The ports, each that sends at once sending again what it sent before a restart."""
    sending = [n for n, port in enumerate(described.LINES) if port["use"] == "out"]
    old = memory.kept(described.CHIP)
    held = [records.held_in(old + place * records.SIZE) if old else None for place in range(len(sending))]
    address, kept = memory.keep(described.CHIP, len(sending) * records.SIZE)
    lines = []
    for n, port in enumerate(described.LINES):
        ear = None if port["rx"] is None else Ear(_HEARS + n, port["rx"])
        if n not in sending:
            lines.append(Line(n, port["tx"], port["drive"], None, ear))
            lines[n].drive = False
            continue
        place = sending.index(n)
        at = place * records.SIZE
        block = address + at, memoryview(kept)[at : at + records.SIZE]
        lines.append(Line(n, port["tx"], port["drive"], block, ear, held[place]))
        if held[place]:
            lines[n].send(held[place])
    return tuple(lines)


def _power(mark, described):
    adc, usb = described["adc"], described["usb"]
    adc = None if adc is None else machine.ADC(Pin(adc))
    usb = None if usb is None else Pin(usb, Pin.IN)
    return Power(_why(mark), mark, adc, int(_FULL_MV * described["divider"]), usb)


def _why(mark):
    """Why the chip started. Both kinds of restart are the watchdog's doing; Power.restart leaves its mark."""
    asked = mem32[mark] == ASKED
    mem32[mark] = 0
    if machine.reset_cause() != machine.WDT_RESET:
        return "power"
    return "reset" if asked else "watchdog"


def _keys(described):
    names, pins = described.KEYS, described.KEY_PINS
    if described.FOOT is not None:
        names, pins = names + ("foot",), pins + (described.FOOT,)
    return Keys(names, [Pin(pin, Pin.IN, Pin.PULL_UP) for pin in pins])
