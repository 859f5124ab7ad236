"""The Wi-Fi that the device makes itself where the one that it knows does not answer: its name, and a password that is
made once for each device, at random. Loaded for a call by feed_network.py and by the page Network.
"""

import os

# Letters and digits that are not taken for each other on a small screen, nor too wide for it: 29 of them.
_LETTERS = "abcdefghjknpqrstuvxyz23456789"
_LENGTH = 10  # 48 bits; WPA2 takes 8 to 63 (IEEE 802.11, from memory)


def name(radio):
    """Its name: of the project and the end of the radio's address, so that two devices have two."""
    ident = radio.ident()
    return "Halfstop-%02X%02X" % (ident[-2], ident[-1])


def password():
    """A new password. Each letter is as likely as any: octets from the last whole round of letters up are left out."""
    out = ""
    while len(out) < _LENGTH:
        octet = os.urandom(1)[0]
        if octet < 256 // len(_LETTERS) * len(_LETTERS):
            out += _LETTERS[octet % len(_LETTERS)]
    return out
