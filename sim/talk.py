"""What a page and a live session say to each other: over a socket (server.py), or to a worker in the browser
(web/device.py).

JSON text both ways; to the page also binary, little-endian, by first byte (x: unused):
  P  x, u16 top row, u16 width, xx, then rows of three bytes a pixel
  F  xxx, u32 packets so far, then the 512 slots of the last whole packet of each port that sends
  L  xxx, then XYZ of each lamp (candela) as float32
"""

import json
import math
import struct

from sim import feeds
from sim.live import SPEEDS


def pictures(live, viewer):
    """The binary messages that bring a viewer up to date."""
    machine = live.session.machine
    if viewer.rows:
        top, bottom = max(viewer.rows[0], 0), min(viewer.rows[1], machine.panel.height)
        viewer.rows = None
        dark = bytes(3 * machine.panel.width * (bottom - top))
        rgb = machine.panel.rgb(top, bottom) if machine.powered else dark
        yield b"P\0" + struct.pack("<HHH", top, machine.panel.width, 0) + rgb
    if viewer.frame:
        viewer.frame = False
        yield b"F\0\0\0" + struct.pack("<I", live.packets & 0xFFFFFFFF) + machine.frames
    if viewer.lights:
        viewer.lights = False
        values = [value for lamp in live.session.lamps for value in lamp.xyz]
        yield b"L\0\0\0" + struct.pack(f"<{len(values)}f", *values)


def hear(live, viewer, text):
    """Act on one message of a page: an object of verbs. What is wrong with it is sent to that page alone."""
    try:
        message = json.loads(text)
        for verb, value in message.items():
            if verb not in _VERBS:
                raise ValueError(f"no verb {verb!r}")
            if viewer is not live.operator and verb not in _FREE:
                raise ValueError("Another tab holds the knob; this one only looks on.")
            _VERBS[verb](live, viewer, value)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError) as error:
        viewer.post(notice=str(error))
    finally:
        live.nudge()


def _take(live, viewer, _value):
    """This tab operates the device from now on."""
    live.session.let_go()
    live.operator = viewer
    live.resend()


def _speed(live, _viewer, value):
    if value not in SPEEDS:
        raise ValueError(f"speed {value!r}: there are {SPEEDS}")
    live.speed = value


def _play(live, _viewer, value):
    feed = None if value == "sacn" else feeds.MADE[value][1]
    live.session.play(value, feed)


def _trim(live, viewer, value):
    """Set trims by the simulated meters: {"names": [...], "keep": bool}."""
    viewer.post(trimmed=live.session.trim(list(value["names"]), bool(value["keep"])))


def _meter(_live, viewer, value):
    """Put the meter somewhere: {"at": [x, y, z], "normal": [x, y, z], "dome": bool}."""
    at, normal = ([float(part) for part in value[key]] for key in ("at", "normal"))
    if len(at) != 3 or len(normal) != 3 or not all(map(math.isfinite, at + normal)):
        raise ValueError("meter: a point and a direction have three numbers each")
    viewer.meter = at, normal, bool(value["dome"])


def _camera(_live, viewer, value):
    """The camera whose stop the meter gives: {"iso", "fps", "shutter"}."""
    camera = {name: float(value[name]) for name in ("iso", "fps", "shutter")}
    if not all(0 < number < 1e6 for number in camera.values()):
        raise ValueError("camera: ISO, fps and shutter are above 0")
    viewer.camera = camera


_VERBS = {
    "turn": lambda live, _viewer, value: live.session.turn(value),
    "down": lambda live, _viewer, value: live.session.key(value, True),
    "up": lambda live, _viewer, value: live.session.key(value, False),
    "power": lambda live, _viewer, value: live.power(value == "boot"),
    "restart": lambda live, _viewer, _value: live.session.restart(),
    "speed": _speed,
    "step": lambda live, _viewer, _value: live.one_packet(),
    "session": lambda live, _viewer, value: live.start(**value),
    "feed": _play,
    "trim": _trim,
    "meter": _meter,
    "camera": _camera,
    "take": _take,
    "seen": lambda live, _viewer, _value: live.session.machine.forgive(),
}
_FREE = ("take", "meter", "camera")  # verbs of tabs that do not operate the device too
