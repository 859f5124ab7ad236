"""The personality of a lamp that says itself what its slots do (RDM's SLOT_INFO, ANSI E1.20): a built-in one where they
are alike, else one made of them. Loaded when a lamp that was found is taken into the rig.
"""

from micropython import const

from firmware.show import personality_builtin
from firmware.show.personality_build import build

_PRIMARY, _FINE = const(0), const(1)  # slot types: ST_PRIMARY, ST_SEC_FINE; E1.20, table of slot types (from memory)
# What a slot label means here, with its range. E1.20, table of slot labels; E1.37-5 those from 0x0211 on (from memory).
# The range of a white is no more than a guess, which the lamp's trims mend (common practice).
_DOES = {
    0x0001: ("level", 0, 1), 0x0002: ("level", 0, 1), 0x0208: ("cct", 2700, 6500), 0x0216: ("hue", 0, 360),
    0x0217: ("sat", 0, 1), 0x0205: ("red", 0, 1), 0x0206: ("green", 0, 1), 0x0207: ("blue", 0, 1),
    0x0211: ("amber", 0, 1), 0x0212: ("white", 0, 1), 0x0213: ("warm", 0, 1), 0x0214: ("cool", 0, 1),
}
# Typical chromaticities and outputs, as those of the built-in mixes (common practice, no source).
_EMITTERS = (("red", 0.690, 0.305, 0.25), ("green", 0.175, 0.700, 0.60), ("blue", 0.138, 0.048, 0.08),
             ("amber", 0.570, 0.425, 0.45), ("white", 0.3221, 0.3318, 1.00), ("warm", 0.4599, 0.4106, 0.90),
             ("cool", 0.3135, 0.3237, 1.00))
# Of slots that have no label: words in their description that tell what they do (common practice, no source).
_WORDS = (("magenta", ("duv", -0.02, 0.02)), ("tint", ("duv", -0.02, 0.02)), ("crossfade", ("mix", 0, 1)))
_RAW_MOST = const(32)  # slots of the largest built-in raw personality


def personality(ident, name, count, slots, texts):
    """-> Personality. ident, name: of one that is made; count: slots of the lamp, 1 and up; slots: what it says of
    them: list of (slot from 0, type, label or the slot that a fine one belongs to), empty where it says nothing; texts:
    descriptions by slot, of those without a label."""
    channels = _channels(count, slots, texts)
    if not any(c[0] in ("level", "red", "green", "white") for c in channels):  # it says nothing that is known here
        if count == 1:
            return personality_builtin.personality("dim")
        if count <= _RAW_MOST:
            return personality_builtin.personality("raw%d" % count)
    does = [c[:3] for c in channels]
    for known in personality_builtin.idents():
        if known.startswith("raw"):
            break
        found = personality_builtin.personality(known)
        if sorted([c[:3] for c in found.channels]) == sorted(does):
            return found
    emitters = [e for e in _EMITTERS if e[0] in [c[0] for c in channels]]
    return build(ident, name, channels, emitters if len(emitters) > 1 else ())


def _channels(count, slots, texts):
    """A channel for each slot that is not the fine one of another."""
    labels = {slot: label for slot, kind, label in slots if kind == _PRIMARY}
    fine = {of: slot for slot, kind, of in slots if kind == _FINE and of < slot < count}
    out, names = [], []
    for slot in range(count):
        if slot in fine.values():
            continue
        does, low, high = _DOES.get(labels.get(slot)) or _told(texts.get(slot, ""))
        if not does or does in names:
            does, low, high = "slot%d" % (slot + 1), 0, 255
        names.append(does)
        out.append((does, slot, fine.get(slot, -1), low, high, 0, 0))
    return out


def _told(words):
    """What a description means: as _DOES has it; nothing that is known here: "", 0, 0."""
    for word, does in _WORDS:
        if word in words.lower():
            return does
    return "", 0, 0
