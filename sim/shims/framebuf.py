"""MicroPython's `framebuf` module for CPython: the formats and calls that the firmware's canvas uses."""
