"""What all boards on a Pico have in common: knob, keys, the port out, supply. Not a board: their files import it."""

MODULE = "pico"
FLASH_BLOCKS = 352  # 1408 KB of 2 MB: the RP2 port's image for this board (from memory)

KNOB = {"a": 10, "b": 11, "detent": 4}
KEYS = ("push", "back", "look", "black")
KEY_PINS = (12, 13, 14, 15)
FOOT = 7
LINE_OUT = {"tx": 0, "rx": 1, "drive": 2, "uart": 0, "use": "out"}
BUZZER = 9
LED = 25
POWER = {"adc": 29, "divider": 3.0, "usb": 24}
