"""The list of what is on the screen, in the order of painting: the plain twin of strokes_viper. Used by the canvas
where the port has no emitter.

A stroke is four ints: (x + _OFF) << 12 | y + _OFF; width << 12 | height, 0 for a stroke that is hidden; kind, ink, font
and count of characters, as canvas.py packs them; a sum of what else it looks like: its text, or the colour of its
swatch.
"""

from micropython import const

_WORDS = const(4)
_OFF = const(1024)  # keeps x and y above 0


def text_sum(s):
    """A sum of a text in 30 bits. Two texts that come in the same place seldom have the same sum."""
    total = 0x345678
    for byte in s.encode():
        total = (total ^ byte) * 0x193 & 0x3FFFFFFF
    return total


def hide(strokes, count, x, y, w, h):
    """Hide the strokes that lie wholly in a box, since something is painted over them."""
    for at in range(0, count * _WORDS, _WORDS):
        place, size = strokes[at], strokes[at + 1]
        left, top = (place >> 12) - _OFF, (place & 4095) - _OFF
        if left >= x and top >= y and left + (size >> 12) <= x + w and top + (size & 4095) <= y + h:
            strokes[at + 1] = 0


def within(strokes, count, at, top, bottom):
    """The first stroke, from number `at` on, that has a part in rows top..bottom-1; count where there is none."""
    while at < count:
        y, h = (strokes[at * _WORDS] & 4095) - _OFF, strokes[at * _WORDS + 1] & 4095
        if h and y < bottom and y + h > top:
            break
        at += 1
    return at


def rows_sum(strokes, count, top, bottom):
    """A sum in 30 bits of all strokes that have a part in rows top..bottom-1. Another sum means another picture."""
    total = 0x345678
    at = within(strokes, count, 0, top, bottom)
    while at < count:
        for word in strokes[at * _WORDS:at * _WORDS + _WORDS]:
            # Multiplying carries a change to higher bits only; the shift brings it down again.
            total = ((total ^ word) * 0x193 ^ total >> 13) & 0x3FFFFFFF
        at = within(strokes, count, at + 1, top, bottom)
    return total


def retint(strokes, count, what, colour):
    """Give the swatches whose third word is `what` another colour, so that the sums of their rows change."""
    for at in range(0, count * _WORDS, _WORDS):
        if strokes[at + 2] == what:
            strokes[at + 3] = colour
