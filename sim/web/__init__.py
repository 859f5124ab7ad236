"""The simulator without a server: the firmware, its lamps and meters in a worker of the browser, on MicroPython's
WebAssembly build. `make web` packs it (host/web.py)."""
