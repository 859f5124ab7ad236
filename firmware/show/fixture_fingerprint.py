"""Whether a lamp still gives the light that it gave. Used by meter_readings.py and slate.py."""

from binascii import crc32

from firmware.show.file_format import encode


def fingerprint(fixture):
    """16 bits that change with a fixture's kind and with the trims that change its light."""
    trims = [fixture.trims.get(name) for name in ("curve", "strike", "white")]
    return crc32(encode([fixture.personality.id, fixture.personality.slots, trims])) & 65535
