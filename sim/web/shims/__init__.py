"""What sim/ takes from CPython and MicroPython lacks. Packed as top modules for the browser alone."""
