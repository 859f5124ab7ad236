"""halfstop faults: print a device's log of faults, from the board, a backup or a folder."""

import re

from firmware.show.fault_log import OLD, PATH, FaultLog
from host import check, command, link, pack, remote

# The line is 1 in all modules of a small board: they are compiled without line numbers, and with short names.
_FUNCTION = re.compile(r'"([\w.]+)", line 1, in (\w+)')
HELP = "print a device's log of faults"


class Files:
    """Files as a disk that firmware/show/fault_log.py can read."""

    def __init__(self, files):
        self._files = files

    def read(self, path):
        """The bytes of a file. Errors: OSError."""
        if path not in self._files:
            raise FileNotFoundError(path)
        return self._files[path]


def from_board(name):
    """The log's files on a board. Errors: Refused."""
    with link.opened(name, "faults") as port:
        link.who(port)
        found = remote.survey(port, (PATH, OLD))
        return {path: remote.read(port, path, size, lambda *_: None) for path, (size, _digest) in found.items()}


def text(entry):
    """An entry as it is printed: time since power-up, what, where."""
    at, what, where = entry
    where = _FUNCTION.sub(_named, where)
    return f"{at // 3600:4}:{at // 60 % 60:02}:{at % 60:02}  {what}" + (f"  ({where})" if where else "")


def _named(found):
    """Module and function of a traceback's line; an RP2040 knows them by short names (host/shorten.py)."""
    module, name = pack.names().real(found[1], found[2])
    return f'"{module}", line 1, in {name}' if module.startswith(pack.OURS) else found[0]


def options():
    """The command line: argparse's parser."""
    parser = command.parser("faults", HELP, (
        "The newest is first. Times are hours, minutes and seconds since the device was switched on."))
    parser.add_argument("path", nargs="?", metavar="FOLDER",
                        help="a device's folder or a backup .zip (default: the board)")
    command.add_port(parser)
    return parser


def main(argv):
    """Print the log. Returns the exit status."""
    asked = options().parse_args(argv)
    files = check.read_all(asked.path) if asked.path else from_board(asked.port)
    entries = FaultLog(Files(files)).entries()
    for entry in entries:
        print(text(entry))
    if not entries:
        print("no faults logged")
    return 0
