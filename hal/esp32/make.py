"""make(board): the Board of a board file on an ESP32-S3. Called by firmware/main.

Timers 0 and up step the ports out, timer 3 ends the buzzer's tone. The lines are started before the panel, which
takes 130 ms.
"""

import time

from machine import PWM, UART, Pin, Timer
from micropython import const

from firmware.wire import dmx
from hal import uart_line
from hal.disk import Disk
from hal.esp32.ear import Ear
from hal.esp32.kept import Kept
from hal.esp32.knob import Knob
from hal.esp32.power import Power
from hal.hands import Buzzer, Clock, Keys
from hal.panels import make as panels

_BUZZER = const(3)


class Board:
    """hal.contract.Board: only attributes."""


def make(described):
    """described: the module of a board file."""
    board = Board()
    board.name, board.chip = described.NAME, described.CHIP
    board.clock = Clock()
    kept = Kept(len(described.LINES))
    board.lines = tuple([_line(n, port, kept) for n, port in enumerate(described.LINES)])
    board.power = Power(described.POWER["adc"], described.POWER["divider"], described.POWER["usb"])
    board.knob = Knob(0, described.KNOB["a"], described.KNOB["b"], described.KNOB["detent"])
    board.keys = _keys(described)
    board.buzzer = Buzzer()
    if described.BUZZER is not None:
        board.buzzer = Buzzer(PWM(Pin(described.BUZZER), freq=1000, duty_u16=0), Timer(_BUZZER))
    board.disk = Disk()
    board.panel = panels.make(described.PANEL, board.clock.ms)
    return board


def _line(n, port, kept):
    """One port, at once sending again what it sent before a restart."""
    uart = UART(port["uart"], baudrate=dmx.BAUD, bits=8, parity=None, stop=2, tx=Pin(port["tx"]),
                txbuf=uart_line.TXBUF)
    drive = Pin(port["drive"], Pin.OUT, value=0)
    held = kept.held(n)
    ear = Ear(n, port["rx"], *port["clock"]) if "clock" in port else None
    line = uart_line.Line(uart, Timer(n), time.ticks_ms, drive, ear, held, lambda slots: kept.keep(n, slots))
    line.drive = port["use"] == "out"
    if held and line.drive:
        line.send(held)
    return line


def _keys(described):
    names, pins = described.KEYS, described.KEY_PINS
    if described.FOOT is not None:
        names, pins = names + ("foot",), pins + (described.FOOT,)
    return Keys(names, [Pin(pin, Pin.IN, Pin.PULL_UP) for pin in pins])
