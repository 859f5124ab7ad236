"""The desktop's hardware. Importing this package gives CPython the MicroPython modules that firmware/ uses."""

import sys

if sys.implementation.name != "micropython":  # the VMs have their own; sim/vm.py and sim/web/device.py run there
    from sim.shims import framebuf, micropython

    sys.modules["micropython"] = micropython
    sys.modules["framebuf"] = framebuf

    def __getattr__(name):
        """`from sim import Bench`, loaded only then: most tests need no more than the stand-ins."""
        if name == "Bench":
            from sim.bench import Bench

            return Bench
        raise AttributeError(name)
