"""What is fuzzed. A target takes bytes and raises nothing but what is a fault of ours.

Files with a checksum get a right one, as a tool that writes wrong content would give them; else nearly all bytes would
end at the checksum.
"""

import contextlib
import gc
import io
import json
import struct
import zipfile
from binascii import crc32

from firmware import parts
from firmware.show import captures, file_format
from firmware.show.slate import Slate
from firmware.stage.capture_file import CaptureFile
from firmware.wire.dmx import SLOTS_MAX
from hal.receiver import Receiver
from host import Refused, gdtf, import_gdtf, restore
from sim import demo, server, wave
from sim.disk import MemoryDisk
from sim.live import Live, Viewer
from sim.vm import Bare, Panel

PATHS = ("shows/demo/rig.json", "shows/demo/show.json", "shelf.json", "kit.json", "shows/demo/groups.json",
         "shows/demo/run.json", "shows/demo/effects.json", "shows/demo/feed.json", "shows/demo/readings.json")
_kept = {}  # what is made once


def _once(name, make):
    if name not in _kept:
        _kept[name] = make()
    return _kept[name]


def _demo():
    disk = MemoryDisk()
    demo.write(disk)
    Bare(disk, Panel(128, 64, 1)).run(6)
    return dict(disk.files)


@contextlib.contextmanager
def all_stays():
    """Code that was loaded once stays: thousands of devices are started, and a tool counts what of it ran."""
    drop, parts._drop = parts._drop, lambda _names: None
    try:
        yield
    finally:
        parts._drop = drop


def _started(files):
    """A device on these files: it starts, runs, and answers its knob and keys on a few pages."""
    _once("what is there is no garbage", gc.freeze)  # the app collects at each page
    with all_stays():
        device = Bare(MemoryDisk(files), Panel(128, 64, 1))
        device.step_ms = 40
        for page in ("light", "run", "effects", "rig"):
            device.app.open(page)
            device.turn(2)
            device.press()
    return device


def show_file(data):
    """A JSON file of a show, or of the device: the first byte says which, the rest is its content."""
    path = PATHS[data[0] % len(PATHS)] if data else PATHS[0]
    body = data[1:]
    with contextlib.suppress(ValueError, RecursionError, TypeError):
        obj = json.loads(body)
        if isinstance(obj, dict):
            body = bytes(file_format.seal({key: obj[key] for key in obj if key not in ("crc", "schema")}, 1))
    _started({**_once("demo", _demo), path: body})


def looks_log(data):
    """The log of the looks, from a byte on."""
    files = _once("demo", _demo)
    path = "shows/demo/looks/0.log"
    at = struct.unpack("<H", data[:2])[0] % len(files[path]) if len(data) > 1 else 0
    device = _started({**files, path: files[path][:at] + data[2:]})
    for name in device.app.show.looks.names():
        with all_stays(), contextlib.suppress(ValueError):
            device.app.stage.go(name, 0)
            device.run(0.1)


def state(data):
    """The kept light: a record with a right checksum, whose first byte says under which name."""
    files = _once("demo", _demo)
    name = "state/" + ("base0", "base1", "step0", "step1")[data[0] % 4] if data else "state/base0"
    body = data[1:]
    _started({**files, name: body + struct.pack("<I", crc32(body))})


def slate(data):
    """The slate: records, each with a right mark and checksum: kind, length (a byte), content."""
    disk, out, at = MemoryDisk(_once("demo", _demo)), bytearray(), 0
    while at + 2 <= len(data):
        kind, content = data[at] % 5, data[at + 2:at + 2 + data[at + 1]]
        head = struct.pack("<BH", kind, len(content))
        out += struct.pack("<BBHI", 0xA5, kind, len(content), crc32(content, crc32(head))) + content
        at += 2 + len(content)
    disk.mkdir("shows/demo/slate")
    disk.write("shows/demo/slate/00.log", out)

    class Show:
        folder = "shows/demo"

    Show.disk = disk
    found = Slate(Show)
    for entry in found.entries():
        if entry:
            with contextlib.suppress(ValueError):
                found.lamps(entry)


def capture(data):
    """A capture's file: each block of it gets a right checksum where its head says how long it is."""
    disk = MemoryDisk()
    disk.mkdir(captures.FOLDER)
    disk.write(captures.path(1), data)
    with contextlib.suppress(ValueError, OSError):
        found = CaptureFile(disk, captures.path(1))
        for _ in range(200):
            if found.scan(4):
                break
        for _ in range(200):
            if not found.open():
                break
            for _ in range(2000):
                if not found.decoder.next():
                    break
                assert 0 <= found.decoder.count <= SLOTS_MAX


def gdtf_file(data):
    """description.xml of a GDTF file."""
    with _file("lamp.gdtf", {"description.xml": data}) as path, contextlib.suppress(Refused):
        fixture = gdtf.load(path)
        for mode in fixture.dmx_modes:
            with contextlib.suppress(Refused):
                import_gdtf.describe(*gdtf.convert(fixture, mode))


def gdtf_zip(data):
    """A GDTF file as it lies there."""
    with _written("lamp.gdtf", data) as path, contextlib.suppress(Refused):
        gdtf.load(path)


def backup_zip(data):
    """A backup that is restored, as it lies there."""
    with _written("backup.zip", data) as path, contextlib.suppress(Refused):
        restore.load(path, [])


def backup_file(data):
    """A backup that is whole, with one file that is not: the first byte says which."""
    path = PATHS[data[0] % len(PATHS)] if data else PATHS[0]
    with _file("backup.zip", {**_once("demo", _demo), path: data[1:]}) as where, contextlib.suppress(Refused):
        restore.load(where, [])


def socket(data):
    """What a page of the simulator says: nothing that it says raises, and the device goes on."""
    live = _once("live", lambda: Live("pico_oled", "demo"))
    viewer = Viewer()
    live.viewers.add(viewer) if hasattr(live.viewers, "add") else live.viewers.append(viewer)
    live.operator = viewer
    try:
        for text in data.decode("utf-8", "replace").split("\n"):
            server._hear(live, viewer, text)
        live.session.step(2)
    finally:
        live.viewers.remove(viewer)


def edges(data):
    """Edges on the line: pairs of bytes, 0.5 µs up to 33 ms each. Behind them a good packet is heard."""
    times, now, level = [], 1_000_000, 0
    for at in range(0, len(data) - 1, 2):
        times.append((now, level))
        now += 500 * (1 + int.from_bytes(data[at:at + 2], "little"))
        level = 1 - level
    if not level:
        times.append((now, 1)) if times and not times[-1][1] else None
    receiver = Receiver()
    ear = wave.Ear(receiver)
    good = bytes(range(200))
    first, end = wave.packet(now + 1_000_000, good, 92, 12)
    second, end = wave.packet(end + 60_000, good, 92, 12)
    ear.hear(times + first + second + wave.packet(end + 60_000, b"\x55", 92, 12)[0])
    heard = receiver.take(0)
    assert heard is not None and bytes(heard) == good
    assert all(count >= 0 for count in receiver.counts.values())


@contextlib.contextmanager
def _written(name, data):
    import pathlib
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / name
        path.write_bytes(data)
        yield str(path)


@contextlib.contextmanager
def _file(name, files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, data in files.items():
            archive.writestr(path, data)
    with _written(name, packed.getvalue()) as path:
        yield path


TARGETS = (show_file, looks_log, state, slate, capture, gdtf_file, gdtf_zip, backup_zip, backup_file, socket, edges)
