"""DMX that comes in from a desk: a few invented feeds and feeds from a file, as frames over time.

A feed is a function of ms since it began -> the slots to send now (bytes, 1..512), or None for silence. Used by the
page's server and by tests. A file has one frame a line: the time in ms, and the slots in hex.
"""

import bisect
import math
import random

from firmware.universe import SLOTS

PERIOD_MS = 23  # a full packet: about 43.5 a second


def still(ms):
    """A desk that holds one look: slots 1..12 half up."""
    return bytes([128] * 12 + [0] * (SLOTS - 12))


def chase(ms):
    """Twelve slots in a slow wave, eight seconds around."""
    return bytes(
        int(127.5 + 127.5 * math.sin(2 * math.pi * (ms / 8000 - n / 12))) if n < 12 else 0 for n in range(SLOTS)
    )


def short(ms):
    """A short desk: 24 slots only, all slowly up and down in ten seconds."""
    return bytes([int(127.5 - 127.5 * math.cos(2 * math.pi * ms / 10000))] * 24)


def drops(ms):
    """A loose plug: the wave, gone for two seconds in every six."""
    return chase(ms) if ms % 6000 < 4000 else None


def fade(ms):
    """One long fade: all slots up in a minute, and down in the next."""
    part = ms % 120_000 / 60_000
    return bytes([int(255 * min(part, 2 - part))] * SLOTS)


def steps(ms):
    """A chase of twelve lamps, 20 steps a second, over a steady set."""
    return bytes(255 if n == ms // 50 % 12 else 30 if n < 12 else 90 if n < 60 else 0 for n in range(SLOTS))


def noise(ms):
    """Noise in all slots."""
    return random.Random(ms).randbytes(SLOTS)


def rates(ms):
    """The wave, from a desk whose rate changes every five seconds: the highest, then 10 and 1 packets a second."""
    period = (PERIOD_MS, 100, 1000)[ms // 5000 % 3]
    return chase(ms) if ms % period < PERIOD_MS else None


_TABLE = (  # name, words, feed
    ("", "nothing", None),
    ("still", "a desk that holds", still),
    ("chase", "a slow wave", chase),
    ("short", "a desk of 24 slots", short),
    ("drops", "a loose plug", drops),
    ("fade", "a fade of a minute", fade),
    ("steps", "a chase of 20 steps a second", steps),
    ("noise", "noise in all slots", noise),
    ("rates", "a rate that changes", rates),
    ("rdm", "a desk that asks by RDM", still),
)
NAMES = tuple(name for name, _text, _feed in _TABLE)  # in order, which a dict of MicroPython's has not
MADE = {name: (text, feed) for name, text, feed in _TABLE}


def from_text(text):
    """A feed from the text of a file; at its end it starts again. Errors: ValueError that names the line."""
    times, frames = [], []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        try:
            when, digits = line.split()
            frame = bytes.fromhex(digits)
            times.append(int(when))
        except ValueError:
            raise ValueError(f"line {number}: wants a time in ms and the slots in hex") from None
        if not 1 <= len(frame) <= SLOTS or times != sorted(times):
            raise ValueError(f"line {number}: 1 to {SLOTS} slots, times that never go back")
        frames.append(frame)
    if not frames:
        raise ValueError("the file holds no frame")
    span = times[-1] - times[0] + PERIOD_MS

    def feed(ms):
        return frames[bisect.bisect_right(times, times[0] + ms % span) - 1]

    return feed
