"""halfstop check: hold a folder or a backup of show files against the schema (firmware/show/SCHEMA.md)."""

import copy
import lzma
import pathlib
import zipfile
import zlib

from firmware.show import effect_settings, file_check, file_format, rig, rig_file
from firmware.show.file_format import unseal
from host import Refused, command, local, looks_log, schema

HELP = "check show files: says file, key, value, rule of what is wrong"
MOST_FILES, MOST_BYTES = 5000, 32_000_000  # in a .zip: the largest flash of our boards has 16 MB
DAMAGE = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, RuntimeError, NotImplementedError,
           ValueError, IndexError)  # the last two: names that are not UTF-8, and an empty one
SHOW = "shows/SHOW/"  # where the files of a lone show's folder are put


def gather(path):
    """({path: bytes}, faults): what the schema speaks of in a device's folder, a show's folder or a backup. A log of
    looks is given as the JSON files that it stands for; faults: damage in it, in words. Errors: Refused."""
    files, faults = looks_log.as_json(read_all(path))
    files = {name: data for name, data in files.items() if ours(name)}
    if not files:
        raise Refused(f"{path}: no show files in it (the folder of a show has rig.json or show.json)")
    return files, faults


def read_all(path):
    """All files of a folder or .zip: {path: bytes}. Errors: Refused."""
    path = pathlib.Path(path)
    if path.is_dir():
        return {p.relative_to(path).as_posix(): local.read(p) for p in sorted(path.rglob("*")) if p.is_file()}
    if not path.exists():
        raise Refused(f"{path}: there is no such folder or .zip file")
    local.read(path)
    return _of_zip(path)


def _of_zip(path):
    try:
        with zipfile.ZipFile(path) as archive:
            entries = [info for info in archive.infolist() if not info.is_dir()]
            size = sum(info.file_size for info in entries)
            if size > MOST_BYTES or len(entries) > MOST_FILES:
                raise Refused(f"{path} would unpack to {size:,} bytes in {len(entries):,} files; {MOST_BYTES:,} and "
                              f"{MOST_FILES:,} are the limits, more than any board holds: not opened")
            return {info.filename: _entry(archive, info) for info in entries}
    except DAMAGE as error:
        raise Refused(f"{path} is no backup: {error}. A backup is a .zip made by halfstop backup.") from error


def _entry(archive, info):
    """The bytes of an entry of a .zip, no more than it says that it has. zipfile checks its CRC. Errors: DAMAGE."""
    if info.flag_bits & 1:
        raise Refused(f"{archive.filename}: {info.filename} is encrypted; a backup is not")
    with archive.open(info) as file:
        data = file.read(info.file_size + 1)
    if len(data) != info.file_size:
        raise Refused(f"{archive.filename}: {info.filename} is not as long as the .zip says")
    return data


def ours(name):
    """True for what the schema speaks of: not old copies, originals, what was set aside, the trash, other folders."""
    if "/" in name and name.split("/")[0] not in ("shows", "looks", "captures"):
        return False
    return name.endswith(".json") or name in ("faults.log", "faults.old")


def on_device(name):
    """A file's path on the device; a lone show's folder has no shows/IDENT/ before its files."""
    alone = name.startswith("looks/") or "/" not in name and name not in OF_DEVICE
    return SHOW + name if alone else name


FAULTS = ("faults.log", "faults.old")
OF_DEVICE = ("shelf.json", "kit.json", "network.json", "rdm.json", *FAULTS)  # of no show


def problems(files):
    """(file, key, value, rule) of everything wrong in {path: bytes}."""
    rules = schema.load()
    for name, data in files.items():
        found = list(schema.file_problems(on_device(name), data, rules))
        yield from ((name, *problem) for problem in found)
        if not found:
            yield from ((name, *problem) for problem in _as_the_firmware_reads(name, unseal(data)[0]))


def _as_the_firmware_reads(name, obj):
    """What the firmware itself would leave out of a file that has all its keys in range: clashes, unknown kinds."""
    if obj is None or obj["schema"] != file_format.SCHEMA:
        return
    for fault in file_check.check(on_device(name), copy.deepcopy(obj))[0]:
        yield "", None, fault
        return
    if name.endswith("rig.json"):
        for fault in rig_file.unpack(rig.Rig(), obj):
            yield "fixtures", None, fault
    elif name.endswith("effects.json"):
        for n, effect in enumerate(obj["effects"]):
            if not effect_settings.sound(effect):
                yield f"effects[{n}]", effect, "is no effect of a known kind with parameters in range"


def seal_all(folder, files):
    """Write files anew whose CRC alone is wrong -> their names. Errors: Refused: not JSON."""
    sealed = []
    for name, data in files.items():
        if name in FAULTS or unseal(data)[0] is not None:
            continue
        try:
            (pathlib.Path(folder) / name).write_bytes(schema.resealed(data))
        except ValueError as error:
            raise Refused(f"{name}: {error}: it cannot be sealed") from error
        sealed.append(name)
    return sealed


def line(name, key, value, rule):
    """A problem as it is printed: file, key, value, rule."""
    text = "" if value is None else f" = {value!r}"
    if len(text) > 60:
        text = text[:57] + "..."
    return f"{name}: {key}{text}{' ' if key else ''}{rule}" if key or text else f"{name}: {rule}"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("check", HELP, one="something is wrong in the files, or they could not be read")
    parser.add_argument("path", metavar="FOLDER", help="a show's folder, a device's folder, or a backup .zip")
    parser.add_argument("--seal", action="store_true", help="first put the right crc into files changed by hand")
    return parser


def main(argv):
    """Check. Returns the exit status: 1 where something is wrong."""
    asked = options().parse_args(argv)
    if asked.seal and not pathlib.Path(asked.path).is_dir():
        raise Refused(f"{asked.path}: --seal works on folders")
    if asked.seal:
        lying = {name: data for name, data in read_all(asked.path).items() if ours(name)}
        for name in seal_all(asked.path, lying):
            print(f"{name}: sealed")
    files, faults = gather(asked.path)
    found = faults + [line(*problem) for problem in problems(files)]
    for words in found:
        print(words)
    print(f"{len(files)} files, {len(found)} problems")
    return 1 if found else 0
