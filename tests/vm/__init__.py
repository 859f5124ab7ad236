"""The firmware on the real MicroPython VMs."""
