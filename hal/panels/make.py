"""The panel that a board file's PANEL describes, on the chip's own buses. Used by hal/rp2 and hal/esp32."""

import time

from machine import I2C, PWM, SPI, Pin


def make(panel, now):
    """PANEL of a board file -> hal.contract.Panel. now: ms, does not wrap. Only the driver asked for is loaded."""
    pins = panel["pins"]
    reset = Pin(pins["rst"], Pin.OUT, value=1) if "rst" in pins else None
    size = {"width": panel["width"], "height": panel["height"]}
    if panel["driver"] == "st7789":
        from hal.panels.st7789 import ST7789

        light = PWM(Pin(pins["bl"]), freq=1000, duty_u16=0) if "bl" in pins else None
        return ST7789(_spi(panel), Pin(pins["cs"], Pin.OUT, value=1), Pin(pins["dc"], Pin.OUT), light,
                      now, time.sleep_ms, reset, **size)
    driver = panel["driver"]
    module = __import__("hal.panels." + driver, None, None, (driver,))
    return getattr(module, driver.upper())(_wire(panel), time.sleep_ms, reset, **size)


def _spi(panel):
    pins = panel["pins"]
    return SPI(panel["id"], baudrate=panel["hz"], sck=Pin(pins["sck"]), mosi=Pin(pins["mosi"]))


def _wire(panel):
    from hal.panels.wires import OverI2c, OverSpi

    pins = panel["pins"]
    if panel["bus"] == "spi":
        return OverSpi(_spi(panel), Pin(pins["cs"], Pin.OUT, value=1), Pin(pins["dc"], Pin.OUT))
    bus = I2C(panel["id"], sda=Pin(pins["sda"]), scl=Pin(pins["scl"]), freq=panel["hz"])
    return OverI2c(bus, panel["address"], panel["width"])
