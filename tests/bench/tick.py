"""Cost of one stage tick in mid-fade at 40 mixed fixtures: on CPython, on the VM, and against a bare loop there."""

import contextlib
import io

from tests.vm import runner, tick


def figures():
    """Keys of FIGURES: times in µs; ratios to a bare loop over 512 slots in the same run."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        tick.main()
    own, bare, fixtures, channels = map(float, out.getvalue().split())
    vm, vm_bare, _fixtures, _channels = map(float, runner.run("tests/vm/tick.py", heap="1m").split())
    return {
        "cpython_us": round(own, 1), "vm_us": round(vm, 1), "ratio_cpython": round(own / bare, 2),
        "ratio_vm": round(vm / vm_bare, 2), "fixtures": int(fixtures), "channels": int(channels),
        "vm_bare_loop_us": round(vm_bare, 1),
        "note": "keyframe planning included; the tick's loops are viper on the VM",
    }
