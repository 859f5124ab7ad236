"""RP2040 + 320x240 colour TFT: the base board's wiring and ports on the older chip."""

from boards.pico import BUZZER, FLASH_BLOCKS, FOOT, KEY_PINS, KEYS, KNOB, LED, LINE_OUT, MODULE, OPTIONS, POWER  # noqa: F401

NAME = "pico_tft"
CHIP = "rp2040"

PANEL = {
    "driver": "st7789", "width": 320, "height": 240, "bits": 4,
    "bus": "spi", "id": 0, "hz": 31_250_000,
    "pins": {"sck": 18, "mosi": 19, "cs": 17, "dc": 20, "rst": 21, "bl": 22},
}
LINES = (LINE_OUT, {"tx": 4, "rx": 5, "drive": 6, "uart": 1, "use": "in"})

PARTS = (
    ("pico", 1), ("tft", 1), ("encoder", 1), ("knob", 1), ("key", 3), ("port", 2), ("xlr_out", 1), ("xlr_in", 1),
    ("buzzer", 1), ("fuse", 1), ("r10k", 2), ("r120", 1), ("slide", 1), ("c100n", 3), ("c10u", 1),
    ("board", 1), ("wire", 1), ("case", 1),
)
