"""Expands four bits a pixel to RGB565 as the panel takes it. The plain twin of expand_viper. Called by st7789."""


def pairs(colours, table):
    """A word of two pixels for each byte of two nibbles.

    colours: sixteen RGB565 ints; table: array 'I' of 256. The left pixel, in the high nibble, comes first in
    memory, and of each pixel the high byte: chips of both makes are little-endian.
    """
    for pair in range(256):
        left, right = colours[pair >> 4], colours[pair & 15]
        table[pair] = left >> 8 | (left & 255) << 8 | (right >> 8) << 16 | (right & 255) << 24


def expand(source, start, count, table, out):
    """`count` bytes of `source` from byte `start` into `out`, an array 'I'."""
    for i in range(count):
        out[i] = table[source[start + i]]
