"""make(board): the Board of a board file on an RP2040 or RP2350. Called by firmware/main.

State machines: ports send from 0 and 1 of the first PIO and listen on 4 and 5 of the second; the knob is on 7.
DMA channels: two a port out, two a port in once it listens, two for the knob.
The order matters: what the last run kept is read before new memory is laid over it, and the line is started
before the panel, which takes 130 ms.
"""

from machine import PWM, Pin, Timer
from micropython import const

from hal.buzzer import Buzzer
from hal.clock import Clock
from hal.disk import Disk
from hal.keys import Keys
from hal.panels import make as panels
from hal.rp2 import line, memory
from hal.rp2.ear import Ear
from hal.rp2.knob import Knob
from hal.rp2.power import Power

_HEARS = const(4)
_KNOB = const(7)


class Board:
    """hal.contract.Board: only attributes."""


def make(described):
    """described: the module of a board file."""
    board = Board()
    board.name, board.chip = described.NAME, described.CHIP
    board.clock = Clock()
    board.lines = _lines(described)
    board.power = Power(described.CHIP, described.POWER["adc"], described.POWER["divider"], described.POWER["usb"])
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
    held = [line.held_in(old + place * line.SIZE) if old else None for place in range(len(sending))]
    address, kept = memory.keep(described.CHIP, len(sending) * line.SIZE)
    lines = []
    for n, port in enumerate(described.LINES):
        ear = None if port["rx"] is None else Ear(_HEARS + n, port["rx"])
        if n in sending:
            at = sending.index(n) * line.SIZE
            one = line.Line(n, port["tx"], port["drive"], (address + at, memoryview(kept)[at : at + line.SIZE]), ear,
                            held.pop(0))
        else:
            one = line.Line(n, port["tx"], port["drive"], None, ear)
            one.drive = False
        if one.held():
            one.send(one.held())
        lines.append(one)
    return tuple(lines)


def _keys(described):
    names, pins = described.KEYS, described.KEY_PINS
    if described.FOOT is not None:
        names, pins = names + ("foot",), pins + (described.FOOT,)
    return Keys(names, [Pin(pin, Pin.IN, Pin.PULL_UP) for pin in pins])
