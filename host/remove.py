"""halfstop remove IDENT: delete a show from the board, by the code that does it on the device."""

import sys

from firmware.show import shelf_edit
from host import Refused, command, shows

HELP = "delete a show from the board"


def options():
    """The command line: argparse's parser."""
    parser = command.parser("remove", HELP, (
        "It is gone for good, as the board restarts afterwards: halfstop backup --show IDENT keeps it first. The open "
        "show is not deleted."))
    parser.add_argument("ident", metavar="IDENT", help="the show, as halfstop status lists it")
    parser.add_argument("--yes", action="store_true", help="do not ask")
    command.add_port(parser)
    return parser


def main(argv):
    """Delete it. Returns the exit status."""
    asked = options().parse_args(argv)
    if not asked.yes and not sys.stdin.isatty():
        raise Refused(f"{asked.ident} would be gone for good: say so with --yes. Nothing was deleted.")
    with shows.shelf(asked.port, "remove") as shelf:
        idents = shelf.idents()
        if asked.ident not in idents:
            raise Refused(f"there is no show {asked.ident} on the board; there are: {', '.join(idents) or 'none'}")
        name = shelf.name(asked.ident)
        if not asked.yes and input(f"Delete {name!r} from the board for good? [y/N] ").strip().lower() != "y":
            print("left as it is")
            return 0
        try:
            shelf_edit.remove(shelf, asked.ident)
        except ValueError as error:
            raise Refused(f"{error} on the device (page Kit). Nothing was deleted.") from error
    print(f"{asked.ident}: deleted from the board")
    return 0
