"""CPython twins of the MicroPython built-in modules that the firmware imports."""
