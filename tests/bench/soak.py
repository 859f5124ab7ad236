"""Days of random use (tests/soak/walk.py) on CPython, and some hundreds of gestures of it on both VMs.

SOAK=1000000 sets how many gestures, 20,000 without it; SEED=7 another seed. What goes wrong is printed as it is found,
with the seed and the life to walk again: `python -m tests.soak SEED LIFE`.
"""

import os

from tests.soak import vm
from tests.soak.walk import LIFE, Soak

VM_GESTURES = 2000


def figures():
    """hours: of the device's time, ages that were skipped not counted. worst_gap_ms, worst_gap_rdm_ms,
    worst_gap_restart_ms: between two breaks on the line; with an exchange by RDM between; with a restart, which is as
    long as docs/CHIP.md has it. heap_drift: bytes on CPython, between two lives and from begin to end of one;
    vm_heap_drift: on the 32-bit VM, after the names have come into being."""
    seed = int(os.environ.get("SEED", "1"))
    soaked = Soak(seed).soak(int(os.environ.get("SOAK", "20000")), LIFE)
    out = {
        "seed": seed, "hours": round(soaked.ms / 3.6e6, 2), **soaked.counts, "exceptions": soaked.crashes,
        "restarts_unasked": soaked.crashes, "worst_gap_ms": round(soaked.gap["worst"], 1),
        "worst_gap_rdm_ms": round(soaked.gap["exchanged"], 1),
        "worst_gap_restart_ms": round(soaked.gap["restarted"], 1), "lost": soaked.lost, "heap_drift": soaked.drift,
    }
    heaps = vm.wasm(VM_GESTURES, seed)
    restarts, gave_way = vm.unix(VM_GESTURES, seed)
    return out | {"vm_gestures": 2 * VM_GESTURES, "vm_heap_drift": heaps[-1] - heaps[2], "vm_restarts": restarts,
                  "vm_gave_way": gave_way}
