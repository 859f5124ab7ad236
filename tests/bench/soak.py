"""Days of random use (tests/soak/walk.py) on CPython, and a part of it on the 32-bit VM.

SOAK=1000000 sets how many gestures, 20,000 without it; SEED=7 another seed. What goes wrong is printed as it is found,
with the seed and the life to walk again: `python -m tests.soak SEED LIFE`.
"""

import os

from tests.soak.walk import Soak


def figures():
    """What docs call soak: see tests/soak/walk.py for each."""
    seed = int(os.environ.get("SEED", "1"))
    soaked = Soak(seed).soak(int(os.environ.get("SOAK", "20000")), 2000)
    return {
        "seed": seed, "hours": round(soaked.ms / 3.6e6, 2), **soaked.counts, "exceptions": soaked.crashes,
        "restarts_unasked": soaked.crashes, "worst_gap_ms": round(soaked.gap["worst"], 1),
        "worst_gap_restart_ms": round(soaked.gap["restarted"], 1), "lost": soaked.lost, "heap_drift": soaked.drift,
    }
