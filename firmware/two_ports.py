"""Frames of two universes, each to its port. Made by app_ports.py."""

from firmware.universe import SLOTS


class TwoPorts:
    """lines: those that send; where that is one, the second universe goes nowhere."""

    def __init__(self, lines):
        self._first = lines[0]
        self._second = lines[1] if len(lines) > 1 else None
        self._frame = None  # the last one, and the parts of it
        self._parts = ()
        if self._second:
            self._second.held()  # make() has sent it, and it needs memory until then

    # Machine code on the chips.
    def send(self, frame):
        """As hal/contract.Line.send, of 512 or 1024 slots. Allocates only for another frame than the last."""
        if frame is not self._frame:
            view = memoryview(frame)
            # A cable with no lamp of the rig gets zeros.
            self._frame, self._parts = frame, (view[:SLOTS], view[SLOTS:] if len(view) > SLOTS else bytes(SLOTS))
        first, second = self._parts
        self._first.send(first)
        if self._second:
            self._second.send(second)
