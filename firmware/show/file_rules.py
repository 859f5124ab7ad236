"""What may stand in the JSON files of a device: the tables of SCHEMA.md as the device checks them. Loaded by
file_check.py. A test holds them equal to the page. The looks' files have checks of their own.

A rule is a tuple:

    WHOLE, low, high
    TEXT, low, high                  letters
    TRUTH,
    OBJECT, low, high, {key: rule}   the key "*" is any uid
    LIST, low, high, rule            of the items: wrong ones are left out
    RECORD, low, high, rule, rules   of all items, or of each: wrong as a whole where one of them is
    CURVE, low, high, rule, ()       TEXT, or a RECORD of points

The kind of what may be missing has OPTIONAL added. (A mark in the key would be one more name that stays in RAM.)
"""

from micropython import const

from firmware.universe import LAMPS, SLOTS, UNIVERSES

WHOLE, TEXT, TRUTH, OBJECT, LIST, RECORD, CURVE = const(0), const(1), const(2), const(3), const(4), const(5), const(6)
OPTIONAL = const(8)


def _maybe(rule):
    return (rule[0] | OPTIONAL,) + rule[1:]


_MS = (WHOLE, 0, 600000)
_LENGTH = (WHOLE, 0, 1000000000)
_FLAG = (WHOLE, 0, 1)
_UID = (WHOLE, 1, 65535)
_ANY_UID = (WHOLE, 0, 65535)
_NUMBER = (WHOLE, 0, 1000000)
_SHARE = (WHOLE, 0, 65535)
_NAME = (TEXT, 1, 24)
_ID = (TEXT, 1, 64)
_SLOT = (WHOLE, 1, UNIVERSES * SLOTS)
_MOST = UNIVERSES * LAMPS
_DAYS = (WHOLE, 0, 36524)
_DUV = (WHOLE, -5000, 5000)
_RANGE = (WHOLE, -1000000, 1000000)
_SECONDS = (WHOLE, 0, 86400)

_POINT = (RECORD, 2, 2, _SHARE, ())
_WHITE = (RECORD, 3, 3, None, (_SHARE, (WHOLE, 1000, 20000), _DUV))
_TRIMS = {
    "curve": _maybe((CURVE, 1, 64, _POINT, ())), "strike": _maybe((WHOLE, 0, 58981)), "lag": _maybe((WHOLE, 0, 3000)),
    "free": _maybe((WHOLE, 1, 1)), "white": _maybe((RECORD, 2, 32, _WHITE, ())),
    "most": _maybe((WHOLE, 10, 99)),
    "set": _maybe((RECORD, 2, 2, None, (_SLOT, _ID))),
    "place": _maybe((TEXT, 0, 64)), "watts": _maybe((WHOLE, 0, 100000)), "gang": _maybe((WHOLE, 2, 99)),
    "rdm": _maybe((RECORD, 2, 2, None, ((TEXT, 13, 13), (WHOLE, 1, 255)))),
}
_FIXTURE = {"uid": _UID, "name": _NAME, "personality": _ID, "address": _SLOT, "trims": (OBJECT, 0, 99, _TRIMS)}
_CHANNEL = (RECORD, 7, 7, None, ((TEXT, 1, 32), (WHOLE, 0, SLOTS - 1), (WHOLE, -1, SLOTS - 1), _RANGE, _RANGE,
                                 _SHARE, _FLAG))
_EMITTER = (RECORD, 4, 4, None, ((TEXT, 1, 32), (WHOLE, 0, 10000), (WHOLE, 1, 10000), _NUMBER))
_PERSONALITY = {"id": _ID, "name": _ID, "channels": (RECORD, 1, SLOTS, _CHANNEL, ()),
                "emitters": (RECORD, 0, 7, _EMITTER, ())}
_READING = (RECORD, 8, 8, None, ((WHOLE, 1, 50000000), (WHOLE, 1, 65536), (WHOLE, 0, 25000), _DUV, _SLOT, _SHARE,
                                 (WHOLE, 1, 1000000), _DAYS))
_ASKED = (RECORD, 2, 2, None, ((WHOLE, 1000, 20000), _DUV))
_EFFECT = (RECORD, 8, 8, None, (_NAME, (WHOLE, 1, 7), (WHOLE, 0, 100), _MS, (WHOLE, 1, 9999), (RECORD, 0, 8, _MS, ()),
                                (LIST, 0, _MOST, _UID), _FLAG))
_STEP = (RECORD, 6, 6, None, (_FLAG, _NUMBER, _MS, (WHOLE, -1, 600000), _MS, _FLAG))

FILES = {
    "shelf.json": {"open": _maybe((TEXT, 0, 64)), "dark": _maybe((TRUTH,))},
    "kit.json": {
        "light": _maybe((WHOLE, 0, 100)), "dim": _maybe((WHOLE, 0, 100)), "dim_s": _maybe(_SECONDS),
        "off_s": _maybe(_SECONDS), "turn": _maybe((WHOLE, -1, 1)), "per": _maybe((WHOLE, 1, 8)),
        "quick": _maybe((WHOLE, 0, 2)), "level": _maybe((WHOLE, 0, 3)), "white": _maybe(_FLAG), "green": _maybe(_FLAG),
        "lock": _maybe(_FLAG), "locked": _maybe(_FLAG),
        "sound": _maybe(_FLAG), "date": _maybe(_DAYS), "volts": _maybe((WHOLE, 100, 440)),
        "amps": _maybe((WHOLE, 1, 125)), "rdm": _maybe(_FLAG), "port2": _maybe(_FLAG),
        "wh": _maybe((WHOLE, 0, 20000)),
    },
    "rdm.json": {"label": _maybe((TEXT, 0, 32))},
    "network.json": {"on": _maybe(_FLAG), "first": _maybe(_FLAG), "wifi": _maybe((TEXT, 0, 32)),
                     "password": _maybe((TEXT, 0, 63)), "own": _maybe(_FLAG), "own_password": _maybe((TEXT, 0, 63)),
                     "universe": _maybe((WHOLE, 1, 63999)), "universe2": _maybe((WHOLE, 0, 63999)),
                     "out": _maybe((WHOLE, 0, 63999)), "out2": _maybe((WHOLE, 0, 63999)),
                     "priority": _maybe((WHOLE, 0, 200))},
    "show.json": {"name": _NAME},
    "rig.json": {"next": _maybe(_UID), "fixtures": (LIST, 0, _MOST, (OBJECT, 0, 99, _FIXTURE)),
                 "personalities": (LIST, 0, _MOST, (OBJECT, 0, 99, _PERSONALITY))},
    "run.json": {"loop": _maybe(_FLAG), "steps": (LIST, 0, 99, _STEP)},
    "groups.json": {"groups": (LIST, 0, 16, (RECORD, 2, 2, None, (_NAME, (LIST, 1, _MOST, _UID))))},
    "feed.json": {"on": _maybe(_FLAG), "lost": _maybe(_NUMBER), "lost_ms": _maybe(_MS), "back_ms": _maybe(_MS),
                  "rules": _maybe((LIST, 0, _MOST, (RECORD, 2, 2, None, (_UID, (WHOLE, 1, 3)))))},
    "readings.json": {
        "iso": _maybe((WHOLE, 6, 409600)), "angle10": _maybe((WHOLE, 10, 3600)),
        "fps100": _maybe((WHOLE, 100, 65535)), "fc": _maybe(_FLAG), "c": _maybe((WHOLE, 240, 540)),
        "key": _maybe(_ANY_UID), "fill": _maybe(_ANY_UID), "backlight": _maybe(_ANY_UID), "count": _maybe(_NUMBER),
        "readings": (OBJECT, 0, _MOST, {"*": _READING}),
        "asked": _maybe((OBJECT, 0, _MOST, {"*": _ASKED})),
    },
    "effects.json": {"effects": (LIST, 0, 16, _EFFECT)},
    "captures": {"name": _maybe(_NAME), "ms": _maybe(_LENGTH), "start": _maybe(_LENGTH), "end": _maybe(_LENGTH),
                 "fade_in": _maybe((WHOLE, 0, 60000)), "fade_out": _maybe((WHOLE, 0, 60000)), "loop": _maybe(_FLAG)},
}
