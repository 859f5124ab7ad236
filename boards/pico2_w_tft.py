"""RP2350 with Wi-Fi + 320x240 colour TFT: the base board's wiring and ports; sACN comes in by Wi-Fi.

The radio has the pins that a Pico uses for itself, GPIO 23, 24, 25 and 29: supply is measured on pin 28 by a divider,
and there is neither a lamp nor a pin that tells USB power from a battery.
"""

from boards.pico2_tft import BUZZER, FOOT, KEY_PINS, KEYS, KNOB, LAMPS, LINES, MODULE, PANEL, UNIVERSES  # noqa: F401

NAME = "pico2_w_tft"
CHIP = "rp2350"

# 2.5 MB of 4, 2,621,440 bytes: MicroPython's ports/rp2/boards/RPI_PICO2_W/mpconfigboard.cmake, of August 2026
FLASH_BLOCKS = 640
LED = None
WIFI = True
POWER = {"adc": 28, "divider": 2.0, "usb": None}
