"""Takes the packets of a file in, 638 bytes each, and prints what the sources of universe 1 make of them. Runs on the
unix VM."""

import sys

sys.path.insert(0, ".")
from firmware.wire import e131  # noqa: E402
from firmware.wire.e131_sources import Sources  # noqa: E402

packet, sources, count = e131.Packet(), Sources(1), 0
with open(sys.argv[1], "rb") as file:
    while file.readinto(memoryview(packet.data)[:e131.SIZE]):
        count += 1
        for _twice in range(2):  # the second is late, and its source a known one
            if packet.read(e131.SIZE) == e131.DATA:
                sources.take(packet, 0)
if sources.counts["late"] != count:
    raise ValueError("a repeated packet was taken")
print("".join(["%02x" % value for value in sources.frame]))
