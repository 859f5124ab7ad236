"""ESP32-S3 + 320x240 colour TFT: two DMX512 ports by UART; sACN comes in by Wi-Fi."""

NAME = "s3_tft"
CHIP = "esp32s3"
MODULE = "s3_devkit"
FLASH_BLOCKS = 1536  # 6 MB of 8: the ESP32-S3 image's partition "vfs" (from memory)

PANEL = {
    "driver": "st7789", "width": 320, "height": 240, "bits": 4,
    "bus": "spi", "id": 1, "hz": 40_000_000,
    "pins": {"sck": 12, "mosi": 11, "cs": 10, "dc": 13, "rst": 14, "bl": 9},
}
KNOB = {"a": 1, "b": 2, "detent": 4}
KEYS = ("push", "back", "look", "black")
KEY_PINS = (42, 41, 40, 39)
FOOT = 47
UNIVERSES, LAMPS = 2, 128
LINES = (
    {"tx": 16, "rx": 17, "drive": 18, "uart": 1, "use": "out"},
    {"tx": 5, "rx": 6, "drive": 7, "uart": 2, "use": "in", "clock": (8, 15)},
)
BUZZER = 21
LED = None
WIFI = True
POWER = {"adc": 4, "divider": 2.0, "usb": None}
