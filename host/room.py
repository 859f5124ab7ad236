"""halfstop room: what the flash of a board is used for, or what a backup would take of it, in blocks as littlefs
has them.
"""


import boards
from firmware.show import file_disk, flash_room
from host import check, command, link, looks_log

HELP = "say what takes the room on a board, or would: in blocks"

_LIST = """
import os
def _walk(d):
    for e in os.ilistdir(d):
        p = d + '/' + e[0] if d else e[0]
        if e[1] & 0x4000:
            print(p + '/', 0)
            _walk(p)
        else: print(p, os.stat(p)[6])
_s = os.statvfs('')
print(_s[2], _s[3])
_walk('')
"""


def of_board(port):
    """(lines to print) of what is on a board. port: as link.opened gives it."""
    first, *rows = port.exec(_LIST).decode().splitlines()
    size, left = map(int, first.split())
    files = {path: int(length) for path, length in (row.rsplit(" ", 1) for row in rows)}
    taken = counted(files)
    taken[flash_room.OTHER] += size - left - sum(taken)
    return [*table(taken), line("Free", left), line("In all", size)]


def of_files(files):
    """(lines to print) of what the files of a folder or a backup would take. files: {path: bytes}."""
    taken = counted({path: len(data) for path, data in looks_log.as_log(files).items()})
    sizes = ", ".join(f"{name} {boards.load(name).FLASH_BLOCKS}" for name in boards.NAMES)
    return [*table(taken), line("In all", sum(taken)), f"blocks on each board, the firmware's among them: {sizes}"]


def counted(files):
    """Blocks by kind (flash_room.NAMES). files: {path: bytes}; a path that ends in '/' is a folder."""
    taken = [0] * len(flash_room.NAMES)
    for path, size in files.items():
        taken[flash_room.kind(path)] += 2 if path[-1] == "/" else flash_room.file_blocks(size)
    return taken


def table(taken):
    """A line a kind."""
    return [line(name, blocks) for name, blocks in zip(flash_room.NAMES, taken, strict=True)]


def line(name, blocks):
    """"Looks      37 blocks  148 KB"."""
    return f"{name:10}{blocks:5} blocks{blocks * file_disk.BLOCK // 1024:7} KB"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("room", HELP, (
        "Without FOLDER it asks the board, which stops for the time and then restarts by itself; its DMX goes on."))
    parser.add_argument("path", nargs="?", metavar="FOLDER", help="a device's folder, a show's, or a backup .zip")
    command.add_port(parser)
    return parser


def main(argv):
    """Print the table. Returns the exit status."""
    asked = options().parse_args(argv)
    if asked.path:
        lines = of_files(check.read_all(asked.path))
    else:
        with link.opened(asked.port, "room") as port:
            link.who(port)
            lines = of_board(port)
    print("\n".join(lines))
    return 0
