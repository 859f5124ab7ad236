"""What a pin's register says of its output: the override that DMA can write, as the port's level is out of its reach
(RP2040 data sheet, 2.19; RP2350, 9.11; from memory). Used by rdm and rdm_in."""

from micropython import const

LOW, HIGH = const(2), const(3)  # an override: the pin is low, high


def override(pin, chip, level):
    """(address of the control register of a pin, the bits of it that hold the pin at a level). level: LOW or HIGH;
    chip: "rp2040" or "rp2350"."""
    number = int(str(pin).split("GPIO")[1].split(",")[0].split(")")[0])
    if chip == "rp2350":
        return 0x40028004 + 8 * number, level << 12
    return 0x40014004 + 8 * number, level << 8
