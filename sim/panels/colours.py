"""The colours of the panels as a browser has them."""


def rgb888(colour):
    """The three bytes of an RGB565 int: the low bits repeat the high ones, so full is 255."""
    r, g, b = colour >> 11, colour >> 5 & 63, colour & 31
    return bytes((r << 3 | r >> 2, g << 2 | g >> 4, b << 3 | b >> 2))
