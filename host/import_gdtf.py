"""halfstop import FILE.gdtf: a lamp maker's description (GDTF, DIN SPEC 15800) to personalities."""

import json
import re

from firmware.show import personality_build, rig_edit
from firmware.show.address import at, reach
from firmware.universe import SLOTS
from host import Refused, command, gdtf, gdtf_cells, local, names, shows

VERB = "import"
HELP = "take a lamp maker's GDTF file in as personalities"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("import", HELP, (
        "Without --json and --to: shows every mode, slot by slot, and what can't be carried."),
        one="a mode could not be carried, or it could not be done (why is on standard error)")
    parser.add_argument("file", metavar="FILE.gdtf")
    parser.add_argument("--mode", help="only this mode, by name or by its number in the list")
    parser.add_argument("--json", metavar="FOLDER", help="write each personality as FOLDER/ID.json")
    parser.add_argument("--to", "--show", metavar="SHOW", help=f"add one such lamp to this show: {shows.TO} "
                        "(needs --mode if the file has several)")
    parser.add_argument("--cells", action="store_true", help="each cell of a bar as a fixture of its own")
    parser.add_argument("--name", help="its name in the rig (default: the lamp's)")
    parser.add_argument("--address", type=to_address, help="its start address, 1 to 512, in the second universe 2.1 to "
                        "2.512 (default: the first free run in the first)")
    command.add_port(parser)
    return parser


def to_address(words):
    """The address that words like "101" or "2.101" say, as the rig counts it. Errors: ValueError."""
    universe, _dot, slot = words.rpartition(".")
    return int(slot) + SLOTS * (int(universe or 1) - 1)


def chosen(fixture, wanted):
    """The modes asked for. Errors: Refused, with the list."""
    there = gdtf.modes(fixture)
    if wanted is None:
        return list(fixture.dmx_modes)
    for number, mode in enumerate(fixture.dmx_modes, 1):
        if wanted in (mode.name, str(number)):
            return [mode]
    known = "\n".join(f"  {number}  {name}" for number, name in enumerate(there, 1))
    raise Refused(f"no mode called {wanted!r}; the file has:\n{known}")


def describe(personality, notes, places=()):
    """A mode as text: one line a slot, then the names of wheel places, then the notes, those alike in one line."""
    lines = [f"{personality.name}: {personality.slots} slots"]
    for does, coarse, fine, low, high, default, snap in sorted(personality.channels, key=lambda c: c[1]):
        slot = f"{coarse + 1}" if fine < 0 else f"{coarse + 1}+{fine + 1}"
        extra = ("", f"  rests at {default * 255 // 65535}")[default > 0] + ("", "  jumps")[snap]
        lines.append(f"  {slot:>7}  {does:14} {low:g} to {high:g}{extra}")
    lines += [f"           {name}: x {x:.4f}  y {y:.4f}  light {out:.2f}" for name, x, y, out in personality.emitters]
    for does, rows in dict(places).items():
        lines.append(f"           {does}: " + ", ".join(f"{start} {name}" for start, name in rows))
    return "\n".join(lines + [f"  note: {note}" for note in together(notes)])


def together(notes):
    """Notes that differ by their numbers alone, as one: the first, and how often it came."""
    alike = {}
    for note in notes:
        alike.setdefault(re.sub(r"\d+", "#", note), []).append(note)
    return [group[0] if len(group) == 1 else f"{group[0]} (and {len(group) - 1} more like this)"
            for group in alike.values()]


def add(to, port, personality, cells, name, address):
    """Add one lamp to a show, or each of its cells -> [fixture]. to: as shows.TO. Errors: Refused: nothing added."""
    parts = gdtf_cells.split(personality) if cells else [("", 0, personality)]
    with shows.opened(to, port, "import") as show:
        show.rig.universes = 2 if (address or 1) > SLOTS else show.rig.slots() // SLOTS
        try:
            start = address or rig_edit.first_free(show.rig, personality.slots)
            made = [show.rig.add(part, _called(name, personality.name, words), start + at) for words, at, part in parts]
            show.save_rig()
        except ValueError as error:
            raise Refused(f"{error}. Nothing was added.") from error
        except OSError as error:
            raise Refused(f"{to}: {local.why(error)}. Nothing was added.") from error
    return made


def _called(name, kind, words):
    """The name of a part in the rig; None: as the rig names it."""
    if not words:
        return name
    return f"{(name or kind)[:rig_edit.NAME_MOST - len(words) - 1].strip()} {words}"


def main(argv):
    """Import. Returns the exit status: 1 where a mode could not be carried."""
    asked = options().parse_args(argv)
    if asked.name is not None:
        asked.name = names.good(asked.name)
    local.read(asked.file)
    fixture = gdtf.load(asked.file)
    wanted = chosen(fixture, asked.mode)
    if asked.to and len(wanted) > 1:
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
        places = gdtf.places(mode)
        print(describe(personality, notes, places))
        _keep(asked, personality, places)
    return 1 if failed else 0


def _keep(asked, personality, places):
    if asked.json:
        path = local.folder(asked.json) / (personality.id + ".json")
        kept = personality_build.pack(personality) | ({"places": places} if places else {})
        local.write(path, json.dumps(kept, indent=1) + "\n")
        print(f"  written to {path}")
    if asked.to:
        for fixture in add(asked.to, asked.port, personality, asked.cells, asked.name, asked.address):
            slots = reach(fixture.address, fixture.personality.slots)
            name = fixture.name
            print(f"  added to {asked.to}: set {name} to address {at(fixture.address)} ({name} {slots})")
