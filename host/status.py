"""halfstop status: what is plugged in, which firmware runs on it, its shows, its room, its last faults."""

import boards
from firmware.show import file_disk, file_store
from firmware.show.fault_log import FaultLog
from host import Refused, command, faults, flash, link, shows
from host.board_disk import BoardDisk

HELP = "say what is on the board: firmware, shows, room, last faults"
LAST = 3  # faults that are shown


def options():
    """The command line: argparse's parser."""
    parser = command.parser("status", HELP, (
        "The device stops for the time and then restarts by itself; its DMX goes on."))
    parser.add_argument("--wait", type=float, default=flash.PATIENCE, metavar="S",
                        help="seconds to wait for the firmware's hello (default: %(default)s)")
    command.add_port(parser)
    return parser


def of_disk(disk, shelf):
    """What a device's flash says, as lines. shelf: firmware/show/shelf.Shelf."""
    lines = [_show(shelf, ident) for ident in shelf.idents()] or ["no shows"]
    free, size = (n // file_disk.BLOCK for n in disk.free())
    lines.append(f"room: {free} of {size} blocks free ({free * file_disk.BLOCK // 1024} KB)")
    found = FaultLog(disk).entries()
    lines += [f"fault: {faults.text(entry).strip()}" for entry in found[:LAST]] or ["no faults logged"]
    if len(found) > LAST:
        lines.append(f"and {len(found) - LAST} faults more: halfstop faults")
    return lines


def _show(shelf, ident):
    rig, _fault = file_store.load(shelf.disk, f"shows/{ident}/rig.json")
    lamps = len(rig["fixtures"]) if rig else 0
    mark = "  (open)" if ident == shelf.settings["open"] else ""
    return f"show: {ident}  {shelf.name(ident)!r}  {lamps} lamps{mark}"


def main(argv):
    """Print it. Returns the exit status: 1 where no firmware runs."""
    asked = options().parse_args(argv)
    name = asked.port or link.choose_port()
    with link.opened(name, "status") as port:
        there = link.who(port)
        version = ".".join(str(part) for part in there.version)
        print(f"board: {there.machine}, MicroPython {version}, on {name}")
        for line in of_disk(BoardDisk(port), shows.Shelf(BoardDisk(port))):
            print(line)
        if not there.installed:
            print("firmware: none of Halfstop's; halfstop flash puts it there")
            return 1
        link.start(port)
        try:
            board = boards.load(there.board) if there.board in boards.NAMES else None
            hello = board and flash.await_hello(port, board, asked.wait)
        except Refused as error:
            print(f"firmware: for {there.board}, but " + str(error).partition("but ")[2])
            return 1
        print(f"firmware: halfstop {hello} runs on {there.board}" if hello else "firmware: of an unknown board")
    return 0
