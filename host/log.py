"""halfstop log: follow what a board says on its console, without stopping it."""

import sys
import time

import serial

from host import Refused, command, link

HELP = "follow what the board says on its console, until Ctrl-C"
_AGAIN = 1.0  # s between two tries to open a port that has gone


def options():
    """The command line: argparse's parser."""
    parser = command.parser("log", HELP, (
        "The board goes on as it is. Where it is unplugged or restarts, the log waits and goes on. Ctrl-C ends it, "
        "with status 0."))
    parser.add_argument("--once", action="store_true", help="end when the board goes away")
    command.add_port(parser)
    return parser


def follow(name, out, once=False):
    """Copy what comes from a port to a text file. once: until it goes away. Errors: Refused: the port does not open the
    first time."""
    opened_before = False
    while True:
        try:
            with serial.serial_for_url(name, timeout=0.2, exclusive=True) as port:
                opened_before = True
                while True:
                    data = port.read(max(1, port.in_waiting))
                    out.write(data.decode(errors="replace").replace("\r", ""))
                    out.flush()
        except (serial.SerialException, OSError, ValueError) as error:
            if not opened_before:
                raise Refused(link.why_closed(name, error)) from error
            out.write("\n(the board went away)\n")
            if once:
                return
        while not link.present(name):
            time.sleep(_AGAIN)


def main(argv):
    """Follow. Returns the exit status."""
    asked = options().parse_args(argv)
    name = asked.port or link.choose_port()
    print(f"(following {name}; Ctrl-C ends it)", file=sys.stderr)
    try:
        follow(name, sys.stdout, asked.once)
    except KeyboardInterrupt:
        print()
    return 0
