"""What is wrong with bytes that should be one packet of RDM, ANSI E1.20 (from memory): asked by those that read answers
(rdm.py) and by the pocket that answers requests (rdm_responder.py), of a chip in an interrupt."""

try:  # machine code where the port has an emitter for it
    from firmware.wire.rdm_loops_viper import checksum
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from firmware.wire.rdm_loops import checksum


def fault(heard, count):
    """What is wrong with the first `count` bytes as one packet: words, "" for nothing."""
    if count < 26 or heard[0] != 0xCC or heard[1] != 1:  # start code and sub-start code
        return "noise"
    length = heard[2]
    if length != 24 + heard[23]:
        return "lengths"
    if count != length + 2:
        return "short" if count < length + 2 else "long"
    return "checksum" if checksum(heard, length) != heard[length] << 8 | heard[length + 1] else ""
