"""make(board): the Board of a board file on an ESP32-S3. Called by firmware/start, which drops it again.

Timers 0 and up step the ports out, timer 3 ends the buzzer's tone. The lines are started before the panel, which
takes 130 ms.
"""

import time

import machine
from machine import UART, Pin, Timer
from micropython import const

from firmware.wire import dmx
from hal.board_parts import Power
from hal.esp32.knob import Knob
from hal.esp32.line_in import LineIn
from hal.esp32.restart_memory import RestartMemory
from hal.line_uart import TXBUF, Line
from hal.make import assemble, usb_pin

_BUZZER_TIMER = const(3)
_CAUSES = {machine.PWRON_RESET: "power", machine.WDT_RESET: "watchdog"}


def make(described, light=None):
    """described: the module of a board file; light: a function that returns the slots which the first port sends at
    once where no restart left it any, or None for none."""
    knob = described.KNOB
    memory = RestartMemory(len(described.LINES))
    lines = tuple([_line(n, port, memory, light) for n, port in enumerate(described.LINES)])
    power = _power(described.POWER, memory)
    board = assemble(described, lines, power, Knob(0, knob["a"], knob["b"], knob["detent"]), _BUZZER_TIMER)
    board.radio = "hal.esp32.radio"
    return board


def _line(n, port, memory, light):
    """One port, which begins at once with what it sent before a restart, the first else with `light`."""
    uart = UART(port["uart"], baudrate=dmx.BAUD, bits=8, parity=None, stop=2, tx=Pin(port["tx"]), txbuf=TXBUF)
    drive = Pin(port["drive"], Pin.OUT, value=0)
    held = memory.held(n)
    line_in = LineIn(n, port["rx"], *port["clock"]) if "clock" in port else None
    line = Line(uart, Timer(n), time.ticks_ms, drive, line_in, held, lambda slots: memory.store(n, slots))
    line.drive = port["use"] == "out"
    first = held or light and n == 0 and light()
    if first and line.drive:
        line.send(first)
    return line


def _power(described, memory):
    """read_uv() is in µV by the chip's calibration. Hundredths of the divider's ratio leave the product below 2**30."""
    measure = None
    if described["adc"] is not None:
        measure = machine.ADC(Pin(described["adc"]), atten=machine.ADC.ATTN_11DB).read_uv
    restarted = _CAUSES.get(machine.reset_cause(), "reset")
    return Power(restarted, usb_pin(described), measure, int(described["divider"] * 100), 100_000, memory)
