"""What runs on the device: pure Python that MicroPython runs, no hardware imports."""
