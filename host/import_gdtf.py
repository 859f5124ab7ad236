"""halfstop import FILE.gdtf: a lamp maker's description (GDTF, DIN SPEC 15800) to personalities."""

import json
import pathlib

from firmware.show import personality_build
from firmware.show.show import Show
from host import Refused, command, gdtf

VERB = "import"
HELP = "take a lamp maker's GDTF file in as personalities"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("import", HELP, (
        "Without options: shows every mode, slot by slot, and what can't be carried. Nothing is sent to a board: "
        "add the lamp to a show's folder (a backup, unpacked), then restore that."))
    parser.add_argument("file", help="FILE.gdtf")
    parser.add_argument("--mode", help="only this mode, by name or by its number in the list")
    parser.add_argument("--json", metavar="FOLDER", help="write each personality as FOLDER/ID.json")
    parser.add_argument("--show", metavar="FOLDER", help="add one such lamp to this show (needs --mode if several)")
    parser.add_argument("--name", help="its name in the rig (default: the lamp's)")
    parser.add_argument("--address", type=int, help="its start address, 1 to 512 (default: the first free run)")
    return parser


def chosen(fixture, wanted):
    """The modes asked for. Errors: Refused, with the list."""
    names = gdtf.modes(fixture)
    if wanted is None:
        return list(fixture.dmx_modes)
    for number, mode in enumerate(fixture.dmx_modes, 1):
        if wanted in (mode.name, str(number)):
            return [mode]
    known = "\n".join(f"  {number}  {name}" for number, name in enumerate(names, 1))
    raise Refused(f"no mode called {wanted!r}; the file has:\n{known}")


def describe(personality, notes):
    """A mode as text: one line a slot, then the notes."""
    lines = [f"{personality.name}: {personality.slots} slots"]
    for does, coarse, fine, low, high, default, snap in sorted(personality.channels, key=lambda c: c[1]):
        slot = f"{coarse + 1}" if fine < 0 else f"{coarse + 1}+{fine + 1}"
        extra = ("", f"  rests at {default * 255 // 65535}")[default > 0] + ("", "  jumps")[snap]
        lines.append(f"  {slot:>7}  {does:14} {low:g} to {high:g}{extra}")
    lines += [f"           {name}: x {x:.4f}  y {y:.4f}  light {out:.2f}" for name, x, y, out in personality.emitters]
    return "\n".join(lines + [f"  note: {note}" for note in notes])


def add(folder, personality, name, address):
    """Add one lamp to the show in a folder; returns its fixture. Errors: Refused."""
    from sim.disk import FolderDisk

    path = pathlib.Path(folder)
    if not (path / "rig.json").exists():
        raise Refused(f"{folder} is no show: there is no rig.json in it")
    show = Show(FolderDisk(path.parent), path.name)
    show.load()
    if show.faults:
        raise Refused(f"{folder} is not in order, nothing was added: " + "; ".join(show.faults))
    try:
        fixture = show.rig.add(personality, name, address)
    except ValueError as error:
        raise Refused(f"{error}. Nothing was added.") from error
    show.save_rig()
    return fixture


def main(argv):
    """Import. Returns the exit status: 1 where a mode could not be carried."""
    asked = options().parse_args(argv)
    fixture = gdtf.load(asked.file)
    wanted = chosen(fixture, asked.mode)
    if asked.show and len(wanted) > 1:
        raise Refused("the file has several modes; say which one the lamp is set to: --mode "
                      + " or ".join(repr(mode.name) for mode in wanted))
    print(f"{fixture.manufacturer} {fixture.name}")
    failed = 0
    for mode in wanted:
        try:
            personality, notes = gdtf.convert(fixture, mode)
        except Refused as error:
            print(f"{error}: left out")
            failed += 1
            continue
        print(describe(personality, notes))
        _keep(asked, personality)
    return 1 if failed else 0


def _keep(asked, personality):
    if asked.json:
        path = pathlib.Path(asked.json) / (personality.id + ".json")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(personality_build.pack(personality), indent=1) + "\n", encoding="utf-8")
        print(f"  written to {path}")
    if asked.show:
        fixture = add(asked.show, personality, asked.name, asked.address)
        print(f"  added to {asked.show}: set the lamp to address {fixture.address} ({fixture.span()})")
