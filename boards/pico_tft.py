"""RP2040 + 320x240 colour TFT: the base board's wiring and ports on the older chip."""

from boards.pico import BUZZER, FLASH_BLOCKS, FOOT, KEY_PINS, KEYS, KNOB, LED, LINE_OUT, MODULE, POWER  # noqa: F401

NAME = "pico_tft"
CHIP = "rp2040"

PANEL = {
    "driver": "st7789", "width": 320, "height": 240, "bits": 4,
    "bus": "spi", "id": 0, "hz": 31_250_000,
    "pins": {"sck": 18, "mosi": 19, "cs": 17, "dc": 20, "rst": 21, "bl": 22},
}
UNIVERSES, LAMPS = 2, 64
LINES = (LINE_OUT, {"tx": 4, "rx": 5, "drive": 6, "uart": 1, "use": "in"})
