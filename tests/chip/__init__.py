"""The firmware in the real MicroPython image on an emulated RP2040: make test-chip UF2=path. Not part of make test."""
