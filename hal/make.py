"""The half of make(board) that is the same for every chip. Used by hal/rp2/make and hal/esp32/make.

firmware/start drops this module once the board is made.
"""

import time

from machine import I2C, PWM, SPI, Pin, Timer
from micropython import const

from hal.board_parts import Buzzer, Clock, Keys
from hal.disk import Disk

_TIMEOUT_US = const(5000)


class Board:
    """hal.contract.Board: only attributes."""


def assemble(described, lines, power, knob, timer, outs=1):
    """The Board of a board file. lines, power, knob: the chip's; timer: number of the machine.Timer that ends the
    buzzer's tone; outs: how many lines send. The panel takes 130 ms, so it comes last: the lines send by then. One that
    does not answer is begun again by whoever draws on it."""
    board = Board()
    board.name, board.chip = described.NAME, described.CHIP
    board.clock = Clock()
    board.lines, board.power, board.knob = lines, power, knob
    if hasattr(described, "UNIVERSES"):
        board.outs, board.lamps = outs, described.LAMPS
    board.keys = _keys(described)
    board.buzzer = Buzzer()
    if described.BUZZER is not None:
        board.buzzer = Buzzer(PWM(Pin(described.BUZZER), freq=1000, duty_u16=0), Timer(timer))
    board.led = bool if described.LED is None else Pin(described.LED, Pin.OUT, value=0)  # bool: asked in vain
    board.disk = Disk()
    board.panel = _panel(described.PANEL, board.clock.ms)
    try:
        board.panel.begin()
    except OSError:
        pass
    return board


def usb_pin(described):
    """The pin that is high on USB power, or None. described: POWER of a board file."""
    return None if described["usb"] is None else Pin(described["usb"], Pin.IN)


def _keys(described):
    names, pins = described.KEYS, described.KEY_PINS
    if described.FOOT is not None:
        names, pins = names + ("foot",), pins + (described.FOOT,)
    pins = [Pin(pin, Pin.IN, Pin.PULL_UP) for pin in pins]
    keys = Keys(names, pins)
    # The ESP32 has no other than the interrupts that wait for the next piece of Python; of those a queue holds eight.
    options = {} if described.CHIP.startswith("esp32") else {"hard": True}
    for pin in pins:
        pin.irq(keys.fell, Pin.IRQ_FALLING, **options)
    return keys


def _panel(panel, now):
    """PANEL of a board file -> hal.contract.Panel. now: ms, does not wrap. Only the driver asked for is loaded: the
    module of hal/panels with that name, and in it the class of that name in capitals. A new driver takes what ST7789
    takes if it has colour (four bits), or what SSD1306 takes."""
    pins, driver = panel["pins"], panel["driver"]
    made = getattr(__import__("hal.panels." + driver, None, None, (driver,)), driver.upper())
    reset = Pin(pins["rst"], Pin.OUT, value=1) if "rst" in pins else None
    size = {"width": panel["width"], "height": panel["height"]}
    if panel["bits"] == 1:
        return made(_oled_bus(panel), time.sleep_ms, reset, **size)
    light = PWM(Pin(pins["bl"]), freq=1000, duty_u16=0) if "bl" in pins else None
    return made(_spi(panel), Pin(pins["cs"], Pin.OUT, value=1), Pin(pins["dc"], Pin.OUT), light, now, time.sleep_ms,
                reset, **size)


def _spi(panel):
    pins = panel["pins"]
    return SPI(panel["id"], baudrate=panel["hz"], sck=Pin(pins["sck"]), mosi=Pin(pins["mosi"]))


def _oled_bus(panel):
    pins = panel["pins"]
    if panel["bus"] == "spi":
        from hal.panels.oled_spi import OverSpi

        return OverSpi(_spi(panel), Pin(pins["cs"], Pin.OUT, value=1), Pin(pins["dc"], Pin.OUT))
    from hal.panels.oled_i2c import OverI2c

    # A page takes 3.1 ms at 400 kHz; a bus that nothing pulls up must not hold the loop for the port's 50 ms.
    bus = I2C(panel["id"], sda=Pin(pins["sda"]), scl=Pin(pins["scl"]), freq=panel["hz"], timeout=_TIMEOUT_US)
    return OverI2c(bus, panel["address"], panel["width"])
