"""The slots that each port sends, stored where a restart leaves them alone. Used by make.

The RTC's memory outlives every restart but loss of power and the reset key. Layout: for each port a mark, the number
of slots (two bytes, high first) and 512 slots; then the word for hal.board_parts.Power, four bytes, high first.
"""

from machine import RTC
from micropython import const

from firmware.wire.dmx import SLOTS_MAX, SLOTS_MIN

_MARK = const(0xD5)
_HEAD = const(3)  # bytes before the slots
_PORT = _HEAD + SLOTS_MAX


class RestartMemory:
    """ports: how many, 3 at most (the memory has 2,048 bytes). `value`: Power's word."""

    def __init__(self, ports):
        self._rtc = RTC()
        self._memory = bytearray(_PORT * ports + 4)
        old = self._rtc.memory()
        if len(old) == len(self._memory):
            self._memory[:] = old

    @property
    def value(self):
        return int.from_bytes(self._memory[-4:], "big")

    @value.setter
    def value(self, value):
        self._memory[-4:] = value.to_bytes(4, "big")
        self._rtc.memory(self._memory)

    def held(self, port, sends=True):
        """The slots that a port sent before the restart: bytes or None. sends: false: it no longer does, and what it
        sent is forgotten."""
        at = port * _PORT
        if not sends:
            self._memory[at] = 0
        count = self._memory[at + 1] << 8 | self._memory[at + 2]
        if self._memory[at] != _MARK or not SLOTS_MIN <= count <= SLOTS_MAX:
            return None
        return bytes(self._memory[at + _HEAD : at + _HEAD + count])

    def store(self, port, slots):
        """Store the slots that a port sends now."""
        at, count = port * _PORT, len(slots)
        self._memory[at] = _MARK
        self._memory[at + 1] = count >> 8
        self._memory[at + 2] = count & 255
        self._memory[at + _HEAD : at + _HEAD + count] = slots
        self._rtc.memory(self._memory)
