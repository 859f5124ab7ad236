"""Four bits a pixel to RGB565 as the wire wants it: the plain twin of expand_viper. Called by st7789."""


def expand(source, start, count, colours, out):
    """Pixels of `count` bytes of `source` from byte `start` into `out`, two 16-bit words a byte.

    colours: array of sixteen words, bytes already in the wire's order; out: array of words.
    """
    n = 0
    for i in range(start, start + count):
        pair = source[i]
        out[n] = colours[pair >> 4]
        out[n + 1] = colours[pair & 15]
        n += 2
