"""Makes the board: firmware/main loads this for it and drops it again."""

from boards import load
from firmware.drop import drop

# What made the board and is not needed again, beside its own file and its chip's maker.
_MAKERS = ("boards.pico", "boards.pico_tft", "boards", "hal.make", "hal.panels.st7789_begin", "hal.rp2.restart_memory",
           "hal.rp2.pio_programs", "hal.rp2.line_records", "firmware.wire.dmx", "firmware.start")


def make():
    """The Board object of the board named in board.txt. Errors: ValueError, OSError for a missing file."""
    with open("board.txt") as file:
        module = load(file.read().strip())
    maker = "hal.%s.make" % ("esp32" if module.CHIP.startswith("esp32") else "rp2")
    board = __import__(maker, None, None, ("make",)).make(module)
    for name in (module.__name__, maker) + _MAKERS:
        drop(name)
    return board
