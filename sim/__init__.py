"""The desktop's hardware. Importing it gives CPython the MicroPython modules that firmware/ uses."""

import sys

from sim.shims import framebuf, micropython

sys.modules["micropython"] = micropython
sys.modules["framebuf"] = framebuf
