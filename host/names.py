"""Names as the device can draw them: its fonts have ISO/IEC 8859-1 and some signs (fonts.py); others show as "?"."""

import unicodedata

from host import Refused, fonts

DRAWN = frozenset(fonts.LATIN + fonts.SIGNS)
# What Unicode does not take apart into a letter and its accent, and punctuation that keyboards and word processors set.
_INSTEAD = {
    "Ł": "L", "ł": "l", "Đ": "D", "đ": "d", "Ħ": "H", "ħ": "h", "Ŧ": "T", "ŧ": "t", "ı": "i", "Œ": "OE", "œ": "oe",
    "ẞ": "SS", "‘": "'", "’": "'", "‚": ",", "“": '"', "”": '"', "„": '"', "—": "–", "‐": "-", "‑": "-", "•": "·",
    "€": "EUR", "′": "'", "″": '"', "\t": " ", "\n": " ", "\r": " ",
}


def written(name):
    """A name with the device's signs -> (the name, the characters that had to be left out). A letter whose accent the
    fonts lack stays without it; an accent that stands by itself, as some computers send it, joins its letter."""
    made, lost = "", ""
    for character in unicodedata.normalize("NFC", name):
        parts = character if character in DRAWN else _INSTEAD.get(character, unicodedata.normalize("NFKD", character))
        kept = "".join(part for part in parts if part in DRAWN)
        made += kept
        if not kept and not unicodedata.combining(character):
            lost += character
    return " ".join(made.split()), lost


def good(name):
    """A name that somebody gave, as the device draws it. Errors: Refused, for one with a sign that it does not have."""
    made, lost = written(name)
    if lost:
        raise Refused(f"The device has no sign for {lost!r}: its names have Latin letters (ISO 8859-1), digits and "
                      "common signs. Give it such a name")
    return made
