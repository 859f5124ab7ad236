"""A word that a restart leaves alone, for hal.board_parts.Power: a scratch register of the watchdog, which only loss of
power clears. Made by make; restart_memory has SCRATCH0, and the SDK uses 4 to 7."""

from machine import mem32

_SCRATCH1 = {"rp2040": 0x40058010, "rp2350": 0x400D8010}


class RestartWord:
    """As a list of one whole number, 30 bits of it. chip: "rp2040" or "rp2350"."""

    def __init__(self, chip):
        self._address = _SCRATCH1[chip]

    def __getitem__(self, _place):
        return mem32[self._address] & 0x3FFFFFFF

    def __setitem__(self, _place, value):
        mem32[self._address] = value
