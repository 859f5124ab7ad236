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


def make(described, light=None, outs=1):
    """described: the module of a board file; light: a function that returns the slots which the ports send at once
    where no restart left them any, one after the other, or None for none; outs: how many ports send."""
    knob = described.KNOB
    memory = RestartMemory(len(described.LINES))
    lines, kept = [], None
    for n, port in enumerate(described.LINES):
        sends = port["use"] == "out" or n < outs
        held = memory.held(n, sends)
        lines.append(_line(n, port, memory, held, sends))
        if light and sends and not held:
            kept, light = light(), None
        first = held or kept and kept[dmx.SLOTS_MAX * n:dmx.SLOTS_MAX * (n + 1)]
        if first and sends:
            lines[n].send(first)
    power = _power(described.POWER, memory)
    board = assemble(described, tuple(lines), power, Knob(0, knob["a"], knob["b"], knob["detent"]), _BUZZER_TIMER, outs)
    board.radio = "hal.esp32.radio"
    return board


def _line(n, port, memory, held, sends):
    """One port. held: what it sent before a restart, or None; sends: it is an out."""
    uart = UART(port["uart"], baudrate=dmx.BAUD, bits=8, parity=None, stop=2, tx=Pin(port["tx"]), txbuf=TXBUF)
    drive = Pin(port["drive"], Pin.OUT, value=0)
    line_in = LineIn(n, port["rx"], *port["clock"]) if "clock" in port and not sends else None
    line = Line(uart, Timer(n), time.ticks_ms, drive, line_in, held, lambda slots: memory.store(n, slots))
    line.drive = sends
    return line


def _power(described, memory):
    """read_uv() is in µV by the chip's calibration. Hundredths of the divider's ratio leave the product below 2**30."""
    measure = None
    if described["adc"] is not None:
        measure = machine.ADC(Pin(described["adc"]), atten=machine.ADC.ATTN_11DB).read_uv
    restarted = _CAUSES.get(machine.reset_cause(), "reset")
    return Power(restarted, usb_pin(described), measure, int(described["divider"] * 100), 100_000, memory)
