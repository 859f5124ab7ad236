"""A checksum to tell changed bands from unchanged ones: the plain twin of sums_viper. For the canvas.

The twins need not agree: a sum is only compared with one of the same machine.
"""

import binascii


def checksum(data, start, length):
    """0..2**25-1 for data[start:start + length]; data: a memoryview."""
    return binascii.crc32(data[start:start + length]) & 0x1FFFFFF
