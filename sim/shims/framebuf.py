"""MicroPython's `framebuf` module for CPython: the formats and calls that the firmware's canvas uses.

The simulator redraws at 40 Hz, so rows are handled as whole slices and integers where the format allows.
tests/panels/test_framebuf.py holds it to the real VM's module, pixel for pixel and byte for byte.
"""

import functools

MONO_VLSB = 0
GS4_HMSB = 2
MONO_HLSB = 3

_FULL = {MONO_VLSB: 1, MONO_HLSB: 1, GS4_HMSB: 15}  # the largest colour


@functools.lru_cache(maxsize=2000)
def _stencil(data, step, width, height, line):
    """A glyph as one number: a nibble of 1 for each lit pixel, rows `line` bytes apart, the last nibble last."""
    stencil = 0
    for at in range(0, height * step, step):
        bits = int.from_bytes(data[at:at + step], "big") >> step * 8 - width
        # Binary digits read as hex are a nibble each.
        stencil = stencil << line * 8 | int(f"{bits:b}", 16)
    return stencil


class FrameBuffer:
    """Pixels in a caller's buffer. format: MONO_VLSB, MONO_HLSB or GS4_HMSB; stride: pixels a row."""

    def __init__(self, buffer, width, height, form, stride=None):
        stride = width if stride is None else stride
        if form not in _FULL or not 0 < width <= 0xFFFF or not 0 < height <= 0xFFFF or stride < width:
            raise ValueError("bad size or format")
        step = {MONO_VLSB: 1, MONO_HLSB: 8, GS4_HMSB: 2}[form]
        self._stride = (stride + step - 1) // step * step
        rows = (height + 7) // 8 if form == MONO_VLSB else height
        per_byte = {MONO_VLSB: 1, MONO_HLSB: 8, GS4_HMSB: 2}[form]
        # The VM asks for whole rows except in the last one, where only the width must be there.
        if len(buffer) < ((rows - 1) * self._stride + (width + step - 1) // step * step) // per_byte:
            raise ValueError("buffer too small")
        self._data = buffer if isinstance(buffer, bytearray) else memoryview(buffer)
        self._width, self._height, self._form = width, height, form

    def _get(self, x, y):
        if self._form == GS4_HMSB:
            pair = self._data[(x + y * self._stride) >> 1]
            return pair & 15 if x & 1 else pair >> 4
        if self._form == MONO_VLSB:
            return self._data[(y >> 3) * self._stride + x] >> (y & 7) & 1
        return self._data[(x + y * self._stride) >> 3] >> (7 - (x & 7)) & 1

    def _set(self, x, y, colour):
        if self._form == GS4_HMSB:
            at = (x + y * self._stride) >> 1
            pair = self._data[at]
            self._data[at] = pair & 0xF0 | colour & 15 if x & 1 else pair & 15 | (colour & 15) << 4
            return
        if self._form == MONO_VLSB:
            at, bit = (y >> 3) * self._stride + x, 1 << (y & 7)
        else:
            at, bit = (x + y * self._stride) >> 3, 0x80 >> (x & 7)
        self._data[at] = self._data[at] | bit if colour else self._data[at] & ~bit

    def pixel(self, x, y, colour=None):
        """The colour at a place (None outside), or with a colour: set it."""
        if not (0 <= x < self._width and 0 <= y < self._height):
            return None
        if colour is None:
            return self._get(x, y)
        self._set(x, y, colour)
        return None

    def fill(self, colour):
        """Every pixel."""
        self.fill_rect(0, 0, self._width, self._height, colour)

    def fill_rect(self, x, y, w, h, colour):
        """A filled box, cut at the edges."""
        left, top = max(x, 0), max(y, 0)
        right, bottom = min(x + w, self._width), min(y + h, self._height)
        if w < 1 or h < 1 or left >= right or top >= bottom:
            return
        if self._form == MONO_VLSB:
            self._fill_pages(left, top, right, bottom, colour)
        else:
            self._fill_rows(left, top, right, bottom, colour)

    def _fill_pages(self, left, top, right, bottom, colour):
        for page in range(top >> 3, (bottom + 7) >> 3):
            mask = 0xFF << max(top - page * 8, 0) & 0xFF >> max(page * 8 + 8 - bottom, 0)
            at = slice(page * self._stride + left, page * self._stride + right)
            n, old = right - left, self._data[at]
            if mask == 0xFF:
                self._data[at] = (b"\xff" if colour else b"\0") * n
            else:
                ones = int.from_bytes(bytes((mask,)) * n, "little")
                bits = int.from_bytes(old, "little")
                self._data[at] = (bits | ones if colour else bits & ~ones).to_bytes(n, "little")

    def _fill_rows(self, left, top, right, bottom, colour):
        depth = 4 if self._form == GS4_HMSB else 1
        colour = colour & 15 if depth == 4 else bool(colour)
        first, n, shift = self._span(left, right - left, depth)
        mask = ((1 << (right - left) * depth) - 1) << shift
        ink = mask // _FULL[self._form] * colour
        solid = mask == (1 << n * 8) - 1
        run = ink.to_bytes(n, "big")
        for y in range(top, bottom):
            at = first + y * self._stride * depth // 8
            if not solid:
                old = int.from_bytes(self._data[at:at + n], "big")
                run = (old & ~mask | ink).to_bytes(n, "big")
            self._data[at:at + n] = run

    @staticmethod
    def _span(x, w, depth):
        """First byte, number of bytes, and bits right of the run, for w pixels of this depth at x."""
        first, last = x * depth >> 3, (x + w) * depth + 7 >> 3
        return first, last - first, last * 8 - (x + w) * depth

    def hline(self, x, y, w, colour):
        """A row of w pixels."""
        self.fill_rect(x, y, w, 1, colour)

    def vline(self, x, y, h, colour):
        """A column of h pixels."""
        self.fill_rect(x, y, 1, h, colour)

    def rect(self, x, y, w, h, colour, fill=False):
        """A box's outline, or filled."""
        if fill:
            self.fill_rect(x, y, w, h, colour)
            return
        self.fill_rect(x, y, w, 1, colour)
        self.fill_rect(x, y + h - 1, w, 1, colour)
        self.fill_rect(x, y, 1, h, colour)
        self.fill_rect(x + w - 1, y, 1, h, colour)

    def line(self, x1, y1, x2, y2, colour):
        """A straight line, both ends drawn (Bresenham, stepping as the VM does)."""
        dx, sx = abs(x2 - x1), 1 if x2 > x1 else -1
        dy, sy = abs(y2 - y1), 1 if y2 > y1 else -1
        steep = dy > dx
        x, y = (y1, x1) if steep else (x1, y1)
        if steep:
            dx, dy, sx, sy = dy, dx, sy, sx
        error = 2 * dy - dx
        for _ in range(dx):
            self.pixel(y if steep else x, x if steep else y, colour)
            while error >= 0:
                y += sy
                error -= 2 * dx
            x += sx
            error += 2 * dy
        self.pixel(x2, y2, colour)

    def scroll(self, dx, dy):
        """Move the picture; what it uncovers keeps its old pixels."""
        if abs(dx) >= self._width or abs(dy) >= self._height:
            return
        columns = range(self._width + dx) if dx < 0 else range(self._width - 1, dx - 1, -1)
        rows = range(self._height + dy) if dy < 0 else range(self._height - 1, dy - 1, -1)
        for y in rows:
            for x in columns:
                self._set(x, y, self._get(x - dx, y - dy))

    def blit(self, source, x, y, key=-1, palette=None):
        """Copy another frame buffer here. key: a colour (after the palette) that is left out."""
        left, top = max(x, 0), max(y, 0)
        right, bottom = min(x + source._width, self._width), min(y + source._height, self._height)
        if left >= right or top >= bottom:
            return
        if self._form == GS4_HMSB and source._form == MONO_HLSB:
            inks = [palette._get(0, 0), palette._get(1, 0)] if palette else [0, 1]
            inks = [None if ink == key else ink for ink in inks]
            whole = right - left == source._width and bottom - top == source._height
            if whole and inks[0] is None and inks[1] is not None:
                self._stamp(source, x, y, inks[1])
            else:
                self._blit_bits(source, (left, top, right, bottom), x, y, inks)
            return
        for row in range(top, bottom):
            for column in range(left, right):
                colour = source._get(column - x, row - y)
                if palette:
                    colour = palette._get(colour, 0)
                if colour != key:
                    self._set(column, row, colour)

    def _stamp(self, source, x, y, ink):
        """A whole glyph in one ink: the rows it stands in are taken as one long number."""
        w, h, line = source._width, source._height, self._stride >> 1
        first = (x + y * self._stride) >> 1
        n = (h - 1) * line + ((x & 1) + w + 1 >> 1)
        mask = _stencil(bytes(source._data), source._stride >> 3, w, h, line) << ((x + w) % 2 * 4)
        old = int.from_bytes(self._data[first:first + n], "big")
        self._data[first:first + n] = (old & ~(mask * 15) | mask * ink).to_bytes(n, "big")

    def _blit_bits(self, source, box, x, y, inks):
        """Bits onto nibbles, a row at a time: binary digits read as hex are a mask of nibbles."""
        left, top, right, bottom = box
        w = right - left
        first, n, shift = self._span(left, w, 4)
        whole = (1 << w) - 1
        from_first, from_n, from_shift = self._span(left - x, w, 1)
        for row in range(top, bottom):
            at = from_first + ((row - y) * source._stride >> 3)
            bits = int.from_bytes(source._data[at:at + from_n], "big") >> from_shift & whole
            at = first + (row * self._stride >> 1)
            new = int.from_bytes(self._data[at:at + n], "big")
            for colour, chosen in ((inks[0], bits ^ whole), (inks[1], bits)):
                if colour is not None and chosen:
                    spread = int(f"{chosen:b}", 16) << shift
                    new = new & ~(spread * 15) | spread * colour
            self._data[at:at + n] = new.to_bytes(n, "big")
