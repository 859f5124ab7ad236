"""One short file a board: pins, parts and options as plain data.

Read by `make(board)` of hal/rp2 and hal/esp32 on the device, by the simulator, and by boards/build, which
makes the wiring table, the picture, the parts list and the build page from the same file. Every file has:

NAME, CHIP   "pico2_tft"; "rp2040", "rp2350" or "esp32s3"
MODULE       the carrier board whose pin rows boards/modules.py knows
PANEL        driver, width, height, bits, bus ("spi" or "i2c"), id, hz, and the pins of that bus
KNOB         a, b: the encoder's two outputs; detent: edges a detent
KEYS         names of the keys in bit order (hal/contract.py), the knob's push first
KEY_PINS     their pins in the same order: each closes to ground, pulled up inside the chip
FOOT         pin of the foot switch jack (closes to ground), or None
LINES        one entry a DMX512 port: tx, rx, drive (1 drives the line), uart, use ("out", or "in": listens
             unless told otherwise); on the ESP32 also clock: two pins left open, for the port that listens
BUZZER, LED  pins, or None
POWER        adc: pin that measures the supply; divider: its ratio; usb: pin, high on USB power, or None
PARTS        (key in boards/parts.py, quantity)
OPTIONS      the same, for what may be left out or added
"""

NAMES = ("pico2_tft", "pico_tft", "pico_oled", "s3_tft")


def load(name):
    """The module of one board. Errors: ValueError for a name not in NAMES."""
    if name not in NAMES:
        raise ValueError("no board called %r; there are: %s" % (name, ", ".join(NAMES)))
    return __import__("boards." + name, None, None, (name,))
