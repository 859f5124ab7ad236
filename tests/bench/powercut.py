"""Power cuts on littlefs on the VM: every step of a long session, 10,000 random double cuts, random bit flips.

HALFSTOP_CUTS=quick makes a tenth of them. What is tried, and how, stands in tests/keep/vm/cuts.py.
"""

import os

from tests.keep.vm import start

ROOMY, TIGHT = 96, 37  # blocks of 4 KiB: nothing is refused; a disk that is full most of the time
SESSIONS = ((1, 250, ROOMY), (2, 250, ROOMY), (5, 300, 39), (8, 300, TIGHT))
DOUBLES, FLIPS = 10000, 2000


def figures():
    """Cuts tried, items lost, power-ups that failed; null without the VM."""
    part = 10 if os.environ.get("HALFSTOP_CUTS") == "quick" else 1
    out = {"cuts": 0, "double_cuts": 0, "bit_flips": 0, "lost": 0, "unbootable": 0, "steps": 0, "refused": 0}
    for seed, actions, blocks in SESSIONS:
        for key, mode, every, count in (
            ("cuts", "single", part, 0),
            ("double_cuts", "double", 1, DOUBLES // len(SESSIONS) // part),
            ("bit_flips", "flip", 1, FLIPS // len(SESSIONS) // part),
        ):
            found = start.cuts(mode, seed, actions, blocks, 0, every, count)
            if found is None:
                return dict.fromkeys(out) | {"note": "the MicroPython unix VM is not installed"}
            out[key] += found["tried"]
            out["lost"] += found["lost"]
            out["unbootable"] += found["unbootable"]
            for why in found["why"]:
                print(f"session {seed}: {why}")
        out["steps"] += found["steps"]
        out["refused"] += found["refused"]
    return out
