"""The desktop's hardware. Importing it gives CPython the MicroPython modules that firmware/ uses."""

import sys

if sys.implementation.name != "micropython":  # the VM has its own; sim/vm.py runs there
    from sim.shims import framebuf, micropython

    sys.modules["micropython"] = micropython
    sys.modules["framebuf"] = framebuf


def __getattr__(name):
    """`from sim import Bench`, loaded when asked for: most tests need only the stand-ins."""
    if name == "Bench":
        from sim.bench import Bench

        return Bench
    raise AttributeError(name)
