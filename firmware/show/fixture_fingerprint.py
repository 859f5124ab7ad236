"""Whether a lamp still gives the light that it gave. Used by meter_readings.py and slate.py."""

from binascii import crc32

from firmware.show.file_encode import put


def fingerprint(fixture, known=None):
    """16 bits that change with a fixture's kind and with the trims that change its light. known: a dict in which those
    of lamps without trims are kept, for who asks of a whole rig."""
    kind = fixture.personality
    found = known.get(kind.id) if known and not fixture.trims else None
    if found is None:
        out = bytearray()
        trims = [fixture.trims.get(name) for name in ("curve", "strike", "white")]
        if "most" in fixture.trims:
            trims.append(fixture.trims["most"])
        put(out, [kind.id, kind.slots, trims])
        found = crc32(out) & 65535
        if known is not None and not fixture.trims:
            known[kind.id] = found
    return found
