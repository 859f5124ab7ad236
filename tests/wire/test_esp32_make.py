"""hal/esp32/make.py makes the ports of an ESP32-S3, with stand-ins for the chip's modules: which of them send, and with
what they begin."""

import sys
import types

import pytest

import boards
from tests.wire.rtc import rtc


class Part:
    """Any peripheral: remembers what it was told to write, allows everything."""

    OUT = IN = 0

    def __init__(self, *arguments, **_options):
        self.arguments, self.wrote = arguments, []

    def write(self, data):
        self.wrote.append(bytes(data))

    def txdone(self):
        return True

    def __call__(self, *_level):
        return 1

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)
        return lambda *arguments, **options: 0


@pytest.fixture
def boot(monkeypatch):
    """Makes the ports of s3_tft -> (lines, numbers of those that can listen)."""
    machine = types.SimpleNamespace(RTC=rtc(), UART=Part, Pin=Part, Timer=Part, ADC=Part, PWRON_RESET=1, WDT_RESET=3,
                                    reset_cause=lambda: 1)
    listeners = []

    def line_in(number, *_pins):
        listeners.append(number)
        return types.SimpleNamespace(receiver=types.SimpleNamespace(counts={}, every=False), listen=lambda on: None,
                                     take=lambda: None)

    def assemble(described, lines, _power, _knob, _timer, outs):
        return types.SimpleNamespace(lines=lines, outs=outs)

    stand_ins = {"machine": machine, "hal.esp32.knob": types.SimpleNamespace(Knob=Part),
                 "hal.esp32.line_in": types.SimpleNamespace(LineIn=line_in),
                 "hal.make": types.SimpleNamespace(assemble=assemble, usb_pin=lambda described: None)}
    for name, module in stand_ins.items():
        monkeypatch.setitem(sys.modules, name, module)
    for name in ("hal.esp32.make", "hal.esp32.restart_memory"):
        monkeypatch.delitem(sys.modules, name, raising=False)
    monkeypatch.setattr("time.ticks_ms", lambda: 0, raising=False)
    Part.ADC = Part.ATTN_11DB = 0
    from hal.esp32.make import make

    def start(light, outs):
        listeners.clear()
        board = make(boards.load("s3_tft"), light and (lambda: light), outs)
        assert board.outs == outs
        return board.lines, list(listeners)

    yield start
    for name in ("hal.esp32.make", "hal.esp32.restart_memory"):
        sys.modules.pop(name, None)


def begun(line):
    """The slots that a port began with, or None: the packet that is in its buffer."""
    return bytes(line._packets[line._newest][1:]) if line._newest >= 0 else None


TWO = bytes(n & 255 for n in range(512)), bytes(3 * n & 255 for n in range(512))


def test_the_second_port_listens_or_sends(boot):
    lines, listeners = boot(TWO[0] + TWO[1], 1)
    assert [line.drive for line in lines] == [True, False] and listeners == [1]
    assert [begun(line) for line in lines] == [TWO[0], None]
    lines, listeners = boot(None, 2)
    assert [line.drive for line in lines] == [True, True] and listeners == []
    assert [begun(line) for line in lines] == [TWO[0], None], "the RTC's memory outlives a restart"
    lines[1].send(TWO[1])
    lines, _listeners = boot(bytes(1024), 2)
    assert [begun(line) for line in lines] == list(TWO)


def test_what_a_port_sent_before_it_listened_is_forgotten(boot):
    lines, _listeners = boot(TWO[0] + TWO[1], 2)
    assert [begun(line) for line in lines] == list(TWO)
    lines, _listeners = boot(None, 1)
    lines[0].send(TWO[0])
    lines, _listeners = boot(None, 2)
    assert [begun(line) for line in lines] == [TWO[0], None]
