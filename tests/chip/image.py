"""Which image a UF2 file holds, before it is booted: MicroPython for a Pico, new enough, whole.

The container is that of microsoft/uf2's README (from memory): blocks of 512 bytes with three magic numbers, and a
family number that names the chip.
"""

import pathlib
import re
import struct

BLOCK = 512
MAGIC = 0x0A324655, 0x9E5D5157, 0x0AB16F30  # the first two words of a block, and its last
HAS_FAMILY = 0x2000
RP2040 = 0xE48BFF56
FAMILIES = {0xE48BFF57: "an RP2040 or RP2350 at any address", 0xE48BFF58: "an RP2350 (signed for Arm)",
            0xE48BFF59: "an RP2350 (Arm)", 0xE48BFF5A: "an RP2350 (RISC-V)", 0xE48BFF5B: "an RP2350 (non-secure)",
            0xC47E5767: "an ESP32-S3"}
OLDEST = 1, 26
BOARD = b"Raspberry Pi Pico with RP2040"
WANTED = ("An official MicroPython image for the Raspberry Pi Pico (RP2040, no Wi-Fi), 1.26 or newer, is needed:\n"
          "    make test-chip UF2=path/to/RPI_PICO.uf2")


class NotUsable(Exception):
    """The image cannot be tested; the words say why and what to do."""


def version(path):
    """The words of an image's version: "v1.28.0 on 2026-11-27". Errors: NotUsable."""
    payload = _payload(path)
    found = re.search(rb"MicroPython (v(\d+)\.(\d+)[^ ;\0]* on [0-9-]+)", payload)
    if not found:
        raise NotUsable(f"{path}: there is no MicroPython in this image.\n{WANTED}")
    words = found[1].decode()
    if (int(found[2]), int(found[3])) < OLDEST:
        raise NotUsable(f"{path}: MicroPython {words} is too old.\n{WANTED}")
    if BOARD not in payload or b"Pico W" in payload:
        raise NotUsable(f"{path}: this MicroPython is for another board than the Raspberry Pi Pico; its file system "
                        f"lies elsewhere.\n{WANTED}")
    return words


def _payload(path):
    try:
        data = pathlib.Path(path).read_bytes()
    except OSError as error:
        raise NotUsable(f"{path}: {error.strerror or error}.\n{WANTED}") from error
    if not data or len(data) % BLOCK:
        raise NotUsable(f"{path}: this is no UF2 file: {len(data)} bytes are not a whole number of blocks of {BLOCK}."
                        f"\n{WANTED}")
    blocks = [_block(path, data, at) for at in range(0, len(data), BLOCK)]
    return b"".join(block for block in blocks if block is not None)


def _block(path, data, at):
    """The payload of a block. Errors: NotUsable."""
    first, second, flags, _address, size, _number, _count, family = struct.unpack_from("<8I", data, at)
    if (first, second, struct.unpack_from("<I", data, at + BLOCK - 4)[0]) != MAGIC:
        raise NotUsable(f"{path}: this is no UF2 file: block {at // BLOCK} has not its magic numbers.\n{WANTED}")
    if not flags & HAS_FAMILY or family != RP2040:
        chip = FAMILIES.get(family, f"the family {family:#x}") if flags & HAS_FAMILY else "no chip that it names"
        raise NotUsable(f"{path}: this image is for {chip}; the emulated chip is an RP2040.\n{WANTED}")
    return data[at + 32 : at + 32 + min(size, BLOCK - 36)]
