"""The slots of each port, kept in the RTC's memory: it outlives every restart but loss of power and the reset key.

Layout: for each port a mark, the number of slots (two bytes, high first) and 512 slots.
"""

from machine import RTC
from micropython import const

_MARK = const(0xD5)
_PORT = const(515)
_HEAD = const(3)


class Kept:
    """ports: how many, 3 at most (the memory has 2,048 bytes)."""

    def __init__(self, ports):
        self._rtc = RTC()
        self._memory = bytearray(_PORT * ports)
        old = self._rtc.memory()
        if len(old) == len(self._memory):
            self._memory[:] = old

    def held(self, port):
        """The slots of a port before the restart: bytes or None."""
        at = port * _PORT
        count = self._memory[at + 1] << 8 | self._memory[at + 2]
        if self._memory[at] != _MARK or not 24 <= count <= 512:
            return None
        return bytes(self._memory[at + _HEAD : at + _HEAD + count])

    def keep(self, port, slots):
        """Keep the slots of a port."""
        at, count = port * _PORT, len(slots)
        self._memory[at] = _MARK
        self._memory[at + 1] = count >> 8
        self._memory[at + 2] = count & 255
        self._memory[at + _HEAD : at + _HEAD + count] = slots
        self._rtc.memory(self._memory)
