"""Golden screens: what the panels showed when a person last looked and said yes.

    from tests.screens import check
    check("light-tft", bench.panel)      # in a test of tests/screens

A screen is kept as NAME.png and as a line in hashes.txt (SHA-256 of size and pixels as decoded from the driver's
bytes). `make screens` draws all and writes build/screens/index.html with old, new and difference; after a look at
it, `make screens-record` takes the new ones over.
"""

import hashlib
import os
import re
from pathlib import Path

KEPT = Path(__file__).parent
NEW = KEPT.parent.parent / "build" / "screens" / "new"
HASHES = KEPT / "hashes.txt"


def digest(width, height, rgb):
    """SHA-256 of a picture's size and pixels, as hex."""
    return hashlib.sha256(b"%d %d " % (width, height) + rgb).hexdigest()


def hashes():
    """{name: digest} as kept."""
    lines = HASHES.read_text().splitlines() if HASHES.exists() else []
    return {name: value for value, name in (line.split() for line in lines)}


def check(name, screen, mode=None):
    """Compare a panel with the kept screen of that name.

    screen: an emulator of sim.panels; mode: "check" raises AssertionError on a difference, "page" keeps the new
    picture for the page and goes on, "record" takes it over; None: as the variable SCREENS says, else check.
    """
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name):
        raise ValueError(f"{name!r} cannot name a screen: small letters, digits and single hyphens")
    mode = mode or os.environ.get("SCREENS", "check")
    now = digest(screen.width, screen.height, screen.rgb())
    if mode == "record":
        screen.png(KEPT / f"{name}.png")
        kept = hashes() | {name: now}
        HASHES.write_text("".join(f"{kept[one]}  {one}\n" for one in sorted(kept)))
        return
    before = hashes().get(name)
    if mode == "page" or now != before:
        NEW.mkdir(parents=True, exist_ok=True)
        screen.png(NEW / f"{name}.png")
    if mode == "check":
        told = "has no kept screen" if before is None else "is not as kept"
        assert now == before, f"screen {name} {told}: make screens, look at it, then make screens-record"
