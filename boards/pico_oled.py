"""RP2040 + 128x64 OLED: the cheapest board. One DMX512 port, out (with RDM)."""

from boards.pico import BUZZER, FLASH_BLOCKS, FOOT, KEY_PINS, KEYS, KNOB, LED, LINE_OUT, MODULE, POWER  # noqa: F401

NAME = "pico_oled"
CHIP = "rp2040"

PANEL = {
    "driver": "sh1106", "width": 128, "height": 64, "bits": 1,
    "bus": "i2c", "id": 0, "hz": 400_000, "address": 0x3C,
    "pins": {"sda": 16, "scl": 17},
}
LINES = (LINE_OUT,)
