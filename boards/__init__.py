"""One short file for each board: pins, parts and options as plain data.

Read by make(board) of hal/rp2 and hal/esp32 on the device, by the simulator, and by `python -m boards`, which makes the
circuit (boards/circuit.py) and from it wiring, pictures, parts list, carrier board and build page. pico.py is not a
board: it has what the boards on a Pico share, and their files import it. Every file has:

NAME, CHIP   "pico2_tft"; "rp2040", "rp2350" or "esp32s3"
MODULE       the carrier board whose pin rows boards/modules.py knows
FLASH_BLOCKS size of the file system that MicroPython's image makes there, in blocks of 4096 bytes
PANEL        driver, width, height, bits, bus ("spi" or "i2c"), id, hz, and the pins of that bus
KNOB         a, b: the encoder's two outputs; detent: edges of both outputs from one detent to the next
KEYS         names of the keys in bit order (hal/contract.py), the knob's push first
KEY_PINS     their pins in the same order: each closes to ground, pulled up inside the chip
FOOT         pin of the foot switch jack (closes to ground), or None
LINES        one entry for each DMX512 port: tx, rx, drive (1 drives the line), uart, use ("out", or "in": listens
             until it is set to drive, or the settings make it an out); on the ESP32 also clock: two pins left open,
             for the port that listens
UNIVERSES    2 where the second port may send a universe of its own; LAMPS: how many lamps both may have, by the memory
             that there is; boards with one port have no such lines
BUZZER, LED  pins, or None
WIFI         True where the chip has a radio that sACN comes in by; boards without one have no such line
POWER        adc: pin that measures the supply; divider: its ratio; usb: pin, high on USB power, or None
"""

NAMES = ("pico2_tft", "pico_tft", "pico_oled", "s3_tft", "pico2_w_tft")


def load(name):
    """The module of one board. Errors: ValueError for a name not in NAMES."""
    if name not in NAMES:
        raise ValueError("no board called %r; there are: %s" % (name, ", ".join(NAMES)))
    return __import__("boards." + name, None, None, (name,))
