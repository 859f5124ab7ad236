"""RP2040 + 128x64 OLED: the cheapest board. One DMX512 port, out (with RDM)."""

NAME = "pico_oled"
CHIP = "rp2040"
MODULE = "pico"

PANEL = {
    "driver": "sh1106", "width": 128, "height": 64, "bits": 1,
    "bus": "i2c", "id": 0, "hz": 400_000, "address": 0x3C,
    "pins": {"sda": 16, "scl": 17},
}
KNOB = {"a": 10, "b": 11, "detent": 4}
KEYS = ("push", "back", "look", "black")
KEY_PINS = (12, 13, 14, 15)
FOOT = 7
LINES = ({"tx": 0, "rx": 1, "drive": 2, "uart": 0, "use": "out"},)
BUZZER = 9
LED = 25
POWER = {"adc": 29, "divider": 3.0, "usb": 24}

PARTS = (
    ("pico", 1), ("oled", 1), ("encoder", 1), ("knob", 1), ("key", 3), ("port", 1), ("xlr_out", 1),
    ("fuse", 1), ("r10k", 1), ("c100n", 2), ("c10u", 1),
    ("board", 1), ("wire", 1), ("case", 1),
)
OPTIONS = (("buzzer", 1), ("foot", 1), ("terminator", 1), ("bias", 1), ("stand", 1), ("bank", 1))
