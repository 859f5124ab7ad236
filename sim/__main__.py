"""halfstop sim, or python -m sim: the simulator, a page in the browser."""

import argparse
import asyncio
import ipaddress
import pathlib
import socket
import sys
import webbrowser

from aiohttp import web

from sim.live import Live, board_names
from sim.server import application


def options():
    """The command line: argparse's parser."""
    parser = argparse.ArgumentParser(prog="halfstop sim", description="The firmware, worked in a browser.", epilog=(
        "Exit status: 0 ended by Ctrl-C, 1 it cannot start (why is on standard error), 2 wrong words."))
    parser.add_argument("--board", default="pico2_tft", choices=board_names(), help="default: pico2_tft")
    parser.add_argument("--show", default="demo", help="demo, a folder of show files, or '' for none")
    parser.add_argument("--port", type=int, default=8040, help="8040; the next free one if it is taken")
    parser.add_argument("--listen", default="127.0.0.1", help="address; 127.0.0.1 is this machine only")
    parser.add_argument("--no-open", action="store_true", help="do not open the browser")
    return parser


def arguments(words):
    """What the command line asks for."""
    parser = options()
    asked = parser.parse_args(words)
    if asked.show not in ("demo", "") and not pathlib.Path(asked.show).is_dir():
        parser.error(f"--show {asked.show}: no such folder; give a folder of show files, demo, or '' for none")
    return asked


def bind(address, port):
    """A socket on the first free port from `port` on (0: any). Errors: OSError: not our address."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    for attempt in range(20):
        one = socket.socket(family)
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind((address, port + attempt if port else 0))
            return one
        except OSError:
            one.close()
            if attempt == 19:
                raise
    return None


async def serve(options):
    """Run until interrupted."""
    one = bind(options.listen, options.port)
    live = Live(options.board, options.show)
    runner = web.AppRunner(application(live, [socket.gethostname()]), access_log=None)
    await runner.setup()
    await web.SockSite(runner, one).start()
    address = f"http://{where(options.listen)}:{one.getsockname()[1]}/"
    print(f"The simulator runs at {address}  (Ctrl-C ends it)", flush=True)
    if not ipaddress.ip_address(options.listen).is_loopback:
        print("Others on this network can reach it, and whoever does can work the device.", flush=True)
    if not options.no_open:
        webbrowser.open(address)
    try:
        await live.run()
    finally:
        await runner.cleanup()
        live.session.machine.close()


def where(listen):
    """How to write the address in a link."""
    address = ipaddress.ip_address(listen)
    if address.is_unspecified:
        return "localhost"
    return f"[{listen}]" if address.version == 6 else listen


def main(argv=None):
    """The command -> its exit status. argv: without the program's name."""
    try:
        asyncio.run(serve(arguments(sys.argv[1:] if argv is None else argv)))
    except KeyboardInterrupt:
        return 0
    except (OSError, ValueError) as error:
        print(f"The simulator cannot start: {error}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
