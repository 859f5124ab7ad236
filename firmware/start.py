"""Makes the board, whose line then shows the light that was on. Loaded by firmware/main for that: what made the board
and is not needed again goes with it."""

from boards import load
from firmware.first_light import light, outs
from hal.disk import Disk


def make():
    """The Board object of the board named in boards/board.txt. Errors: ValueError, OSError for a missing file."""
    with open("boards/board.txt") as file:
        described = load(file.read().strip())
    if described.CHIP.startswith("esp32"):
        from hal.esp32.make import make as made
    else:
        from hal.rp2.make import make as made
    disk = Disk()
    return made(described, lambda: light(disk), outs(disk, getattr(described, "UNIVERSES", 1)))
