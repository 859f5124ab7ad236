"""The list of what is on the screen, in the order in which it was painted: the plain twin of strokes_viper.

A stroke is four ints: (x + OFF) << 12 | y + OFF; width << 12 | height, 0 for none; kind, ink, font and count of
characters, each where the shifts say; a sum of what else it looks like: its text, its swatch's colour. Called by the
canvas.
"""

from micropython import const

_WORDS = const(4)
_OFF = const(1024)


def text_sum(s):
    """A text in 30 bits; two texts in one place seldom have the same."""
    total = 0x345678
    for byte in s.encode():
        total = (total ^ byte) * 0x193 & 0x3FFFFFFF
    return total


def hide(strokes, count, x, y, w, h):
    """Take away those that lie wholly in a box: something is painted over them."""
    for at in range(0, count * _WORDS, _WORDS):
        place, size = strokes[at], strokes[at + 1]
        left, top = (place >> 12) - _OFF, (place & 4095) - _OFF
        if left >= x and top >= y and left + (size >> 12) <= x + w and top + (size & 4095) <= y + h:
            strokes[at + 1] = 0


def within(strokes, count, at, top, bottom):
    """The first stroke, from number `at` on, that has to do with rows top..bottom-1; count where there is none."""
    while at < count:
        y, h = (strokes[at * _WORDS] & 4095) - _OFF, strokes[at * _WORDS + 1] & 4095
        if h and y < bottom and y + h > top:
            break
        at += 1
    return at


def rows_sum(strokes, count, top, bottom):
    """All strokes that have to do with rows top..bottom-1, in 30 bits: another sum, another picture."""
    total = 0x345678
    at = within(strokes, count, 0, top, bottom)
    while at < count:
        for word in strokes[at * _WORDS:at * _WORDS + _WORDS]:
            # Multiplying carries a change upward only, the shift brings it down again.
            total = ((total ^ word) * 0x193 ^ total >> 13) & 0x3FFFFFFF
        at = within(strokes, count, at + 1, top, bottom)
    return total


def retint(strokes, count, what, colour):
    """Give the swatches whose third word is `what` another colour."""
    for at in range(0, count * _WORDS, _WORDS):
        if strokes[at + 2] == what:
            strokes[at + 3] = colour
