"""What fuzzing begins with: good inputs of each target, and how one is changed into another."""

import json
import tempfile
import zipfile
from io import BytesIO

from firmware.stage.capture_recorder import CaptureRecorder
from sim.disk import MemoryDisk
from tests.fuzz import targets
from tests.host import gdtf_files

# What a wrong value is apt to be.
VALUES = (0, 1, -1, 5, 255, 65535, 65536, 1 << 30, -(1 << 31), 1 << 70, 10 ** 400, 0.5, -0.0, 1e308, True, None, "",
          "x", "W" * 70, "\u0000", [], [[]], {}, [1, 2], {"a": 1}, [None], "linear")


def of(target):
    """Good inputs of a target: list of bytes."""
    return list(_MADE[target.__name__]())


def changed(data, dice):
    """Another input, a few changes away."""
    for _ in range(dice.randrange(1, 4)):
        data = (_json(data, dice) if dice.randrange(2) else None) or _bytes(bytearray(data), dice)
    return data


def _bytes(data, dice):
    at, size = dice.randrange(len(data) + 1), dice.choice((1, 1, 2, 4, 16))
    kind = dice.randrange(4)
    if kind == 0:
        data[at:at + size] = dice.randbytes(size)
    elif kind == 1:
        del data[at:at + size]
    elif kind == 2:
        data[at:at] = dice.choice((b"\0" * size, b"\xff" * size, dice.randbytes(size), bytes(data[:size])))
    elif data:
        data[at % len(data)] ^= 1 << dice.randrange(8)
    return bytes(data)


def _json(data, dice):
    """The JSON in it, from its first brace on, with one value put in place of another, or None."""
    begin = data.find(b"{")
    try:
        obj = json.loads(data[begin:])
    except (ValueError, RecursionError):
        return None
    places = list(_places(obj)) if isinstance(obj, dict) else []
    if not places:
        return None
    holder, key = dice.choice(places)
    if dice.randrange(5):
        holder[key] = dice.choice(VALUES)
    else:
        del holder[key]
    return data[:begin] + json.dumps(obj).encode()


def _places(obj):
    for key in obj if isinstance(obj, dict) else range(len(obj)):
        yield obj, key
        if isinstance(obj[key], dict | list):
            yield from _places(obj[key])


def _files():
    files = targets._once("demo", targets._demo)
    for n, path in enumerate(targets.PATHS):
        body = files.get(path, b"{}")
        obj = json.loads(body)
        yield bytes([n]) + json.dumps({key: obj[key] for key in obj if key not in ("crc", "schema")}).encode()
    yield b'\x05{"steps": [[0, 1, 0, -1, 500, 1]], "loop": 1}'
    yield b'\x04{"groups": [["Cyc", [1, 2]]]}'
    yield b'\x06{"effects": [["Pulse", "Pulse", {}, 50, 50, 0, [1, 2], 1]]}'


def _logs():
    log = targets._once("demo", targets._demo)["shows/demo/looks/0.log"]
    yield b"\0\0" + log
    yield b"\x40\0" + log[64:]


def _states():
    files = targets._once("demo", targets._demo)
    for n, name in enumerate(("base0", "base1", "step0", "step1")):
        if "state/" + name in files:
            yield bytes([n]) + files["state/" + name][:-4]


def _slates():
    yield bytes((1, 22)) + bytes(22) + bytes((2, 47)) + bytes(47) + bytes((3, 4)) + b"\1\0ab"


def _captures():
    disk = MemoryDisk()
    disk.mkdir("captures")
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, "captures/1.cap", 0)
    for n in range(60):
        recorder.add(bytes([n * k & 255 for k in range(40)]), 23 * n, 23 * n + 4)
        recorder.step(23 * n + 4)
    recorder.end()
    yield disk.read("captures/1.cap")


def _gdtf():
    with tempfile.TemporaryDirectory() as folder:
        path = gdtf_files.fixture(folder + "/a.gdtf", {"Mode": [
            gdtf_files.channel("Dimmer", (1, 2)), gdtf_files.channel("CTO", (3,), low=2700, high=6500)]})
        with open(path, "rb") as file:
            return file.read()


def _xml():
    yield zipfile.ZipFile(BytesIO(_gdtf())).read("description.xml")


def _zips():
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, data in targets._once("demo", targets._demo).items():
            archive.writestr(path, data)
    yield packed.getvalue()


def _messages():
    for message in ({"turn": 3}, {"down": "push"}, {"up": "push"}, {"power": "off"}, {"power": "boot"}, {"speed": 10},
                    {"feed": "chase"}, {"trim": {"names": ["Key"], "keep": True}}, {"restart": 1}, {"take": 1},
                    {"meter": {"at": [0, 0, 0], "normal": [0, 0, 1], "dome": True}}, {"seen": 1}, {"step": 1},
                    {"camera": {"iso": 800, "fps": 24, "shutter": 180}}, {"session": {"board": "pico_oled"}}):
        yield json.dumps(message).encode()


def _edges():
    yield bytes.fromhex("c700 1f00 0700 0700 2300 0f00")
    yield bytes.fromhex("ffff 1000 c700 1700" + "4700 0f00" * 30)


_MADE = {"show_file": _files, "looks_log": _logs, "state": _states, "slate": _slates, "capture": _captures,
         "gdtf_file": _xml, "gdtf_zip": lambda: [_gdtf()], "backup_zip": _zips, "backup_file": _files,
         "socket": _messages, "edges": _edges}
