"""What the shipped firmware does on an emulated RP2040 (tests/chip): needs a MicroPython image, UF2=path in the
environment. docs/CHIP.md has the last table."""

import datetime
import os

from tests.chip import figures as chip
from tests.chip import image, sessions, table


def figures():
    """The keys of tests/chip/figures.py's KEYS, of both panels the worse, with what they belong to: image, SHA-256 of
    the packed firmware, date. All None without an image."""
    uf2 = os.environ.get("UF2")
    if not uf2:
        return dict.fromkeys((*chip.KEYS, "image")) | {"note": "no image: not measured. Set UF2=path/to/RPI_PICO.uf2"}
    try:
        version = image.version(uf2)
    except image.NotUsable as error:
        return dict.fromkeys((*chip.KEYS, "image")) | {"note": f"not measured. {error}"}
    report = sessions.run(uf2, sessions.measured(bool(os.environ.get("LONG"))))
    return chip.by_key(report.figures) | {
        "image": version,
        "firmware": table.digests(),
        "date": datetime.date.today().isoformat(),
        "cache": True,
        "missed": [" ".join((key, board, show)) for key, board, show, _ in report.misses()],
        "failed": [line for line in report.lines if line.startswith("FAIL")],
        "note": "emulated RP2040 at 125 MHz, with the times of flash and of its cache's misses; no chip was measured",
    }
