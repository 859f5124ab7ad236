"""The sixteen inks of the screen: warm and dark, to spare eyes that are used to the dark. Used by pages and the canvas.

Inks 0..7 are the theme's. Inks 8..15 are swatches, which are set to the lamps' real colours. Text is written
in DIM, TEXT, HOT or WARN on PAPER or PANEL, or in PAPER on HOT: each 7:1 or more (WCAG 2.x, success
criterion 1.4.6; tests/panels/test_theme.py). EDGE and LOW are for shapes, never for text.
"""

from micropython import const

PAPER = const(0)  # behind everything
PANEL = const(1)  # behind a title or a hint
EDGE = const(2)  # rules and frames
LOW = const(3)  # the empty part of a bar
DIM = const(4)  # text of second rank
TEXT = const(5)
HOT = const(6)  # what the knob moves now; as paper: the chosen row, written on in PAPER
WARN = const(7)  # beside a word that says what is wrong
SWATCH0 = const(8)
SWATCHES = const(8)

COLOURS = (  # RGB565
    0x0000, 0x18A1, 0x8AA2, 0x3961, 0xD4AC, 0xFEB5, 0xFCA3, 0xFC2C,
)
LIGHT = const(0b11110100)  # bit n: ink n is white on a panel of one bit


def rgb565(r, g, b):
    """A display colour, 0..255 each, as the panel's 16 bits."""
    return (r & 0xF8) << 8 | (g & 0xFC) << 3 | b >> 3
