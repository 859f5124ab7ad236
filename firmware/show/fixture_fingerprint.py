"""Whether a lamp still gives the light that it gave. Used by readings and slate."""

from binascii import crc32

from firmware.show.file_format import encode


def check(fixture):
    """What tells a changed lamp: 16 bits of its kind and of the trims that change its light."""
    trims = [fixture.trims.get(name) for name in ("curve", "strike", "white")]
    return crc32(encode([fixture.personality.id, fixture.personality.slots, trims])) & 65535
