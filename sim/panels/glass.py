"""What a panel shows that is given the canvas's own rows: for the firmware on the MicroPython VMs, without a driver."""

import struct

from sim.panels.colours import rgb888


class Glass:
    """What the VM's panel shows: its buffer's rows, in the palette that held when they were sent."""

    def __init__(self, width, height, bits):
        self.width, self.height, self._bits = width, height, bits
        self.clear()

    def clear(self):
        """Dark, as after power-up."""
        self.light = 0
        self._rows = [bytes(3 * self.width)] * self.height
        self.colours([0] * 16)
        self._touched = (0, self.height)

    def palette(self, data):
        """Sixteen RGB565 values, as bytes."""
        self.colours(struct.unpack("<16H", data))

    def colours(self, colours):
        """Sixteen RGB565 values."""
        self._colours = [rgb888(colour) for colour in colours]
        self._pairs = [a + b for a in self._colours for b in self._colours]

    def show(self, top, data):
        """Rows from `top` on, in framebuf's GS4_HMSB (4 bits) or MONO_VLSB (1 bit)."""
        rows = self._grey(data) if self._bits == 4 else self._mono(data)
        self._rows[top : top + len(rows)] = rows
        before = self._touched or (top, top)
        self._touched = (min(before[0], top), max(before[1], top + len(rows)))

    def _grey(self, data):
        pair = self._pairs
        across = self.width // 2
        return [b"".join([pair[byte] for byte in data[at : at + across]]) for at in range(0, len(data), across)]

    def _mono(self, data):
        dots = (b"\0\0\0", b"\xff\xff\xff")
        return [
            b"".join(dots[byte >> bit & 1] for byte in data[at : at + self.width])
            for at in range(0, len(data), self.width)
            for bit in range(8)
        ]

    def rgb(self, top=0, bottom=None):
        """Rows top..bottom-1, three bytes a pixel."""
        return b"".join(self._rows[top:bottom])

    def touched(self):
        """Rows changed since the last call: (top, bottom), or None."""
        rows, self._touched = self._touched, None
        return rows
