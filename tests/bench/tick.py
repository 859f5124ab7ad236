"""Cost of one stage tick in mid-fade at 40 mixed fixtures, and at 64 on each of two universes: on CPython, on the VM,
and against a bare loop there."""

import contextlib
import io

from tests.vm import runner, tick


def figures():
    """Keys of FIGURES: times in µs; ratios to a bare loop over 512 slots in the same run. two_*: of two universes."""
    own, bare, fixtures, channels = on_cpython(tick.FIXTURES)
    vm, vm_bare, _fixtures, _channels = map(float, runner.run("tests/vm/tick.py", heap="1m").split())
    two, two_bare, two_fixtures, two_channels = on_cpython(128)
    two_vm, two_vm_bare, _fixtures, _channels = map(float, runner.run("tests/vm/tick.py", "two", heap="2m").split())
    return {
        "cpython_us": round(own, 1), "vm_us": round(vm, 1), "ratio_cpython": round(own / bare, 2),
        "ratio_vm": round(vm / vm_bare, 2), "fixtures": int(fixtures), "channels": int(channels),
        "vm_bare_loop_us": round(vm_bare, 1),
        "two_cpython_us": round(two, 1), "two_vm_us": round(two_vm, 1), "two_ratio_cpython": round(two / two_bare, 2),
        "two_ratio_vm": round(two_vm / two_vm_bare, 2), "two_fixtures": int(two_fixtures),
        "two_channels": int(two_channels),
        "note": "keyframe planning included; the tick's loops are viper on the VM",
    }


def on_cpython(count):
    """What tests/vm/tick.py prints of so many fixtures."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        tick.main(count)
    return map(float, out.getvalue().split())
