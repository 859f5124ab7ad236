"""halfstop new NAME: make an empty show, on the board or in a folder."""

import pathlib

from firmware.show import shelf_edit
from firmware.show.shelf import Shelf
from host import Refused, command, local, names, shows
from sim.disk import FolderDisk

HELP = "make an empty show, on the board or in a folder"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("new", HELP, (
        "Without --in the board makes it; the board stops for the time and then restarts by itself; its DMX goes on."))
    parser.add_argument("name", metavar="NAME", help=f"what it is called, up to {shelf_edit.NAME_MOST} letters")
    parser.add_argument("--in", dest="folder", metavar="FOLDER", help="make it in this folder, as shows/IDENT")
    command.add_port(parser)
    return parser


def main(argv):
    """Make it. Returns the exit status."""
    asked = options().parse_args(argv)
    name = names.good(asked.name)
    try:
        shelf_edit.good_name(name)
        if asked.folder:
            with local.at(asked.folder):
                ident = shelf_edit.new(Shelf(FolderDisk(local.folder(asked.folder))), name)
            print(f"{pathlib.Path(asked.folder) / 'shows' / ident}: made, empty")
            return 0
        with shows.shelf(asked.port, "new") as shelf:
            ident = shelf_edit.new(shelf, name)
    except ValueError as error:
        raise Refused(f"{error}. Nothing was made.") from error
    print(f"{ident}: made on the board, empty; open it on the device (page Settings)")
    return 0
