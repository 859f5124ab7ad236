"""The cable to the board: finds the port, opens MicroPython's raw REPL through mpremote, says who is there.

For the verbs that talk to a board. Any port that mpremote takes will do: COM3, /dev/ttyACM0, a pty, socket://.
"""

import ast
import contextlib
import errno
import io
import os
import sys

import serial
import serial.tools.list_ports
from mpremote.transport import TransportError, TransportExecError
from mpremote.transport_serial import SerialTransport

from host import Refused, archive, pack

MAKERS = {0x2E8A: "RP2 board", 0x303A: "ESP32 board", **dict.fromkeys((0x10C4, 0x1A86, 0x0403), "USB bridge")}
PATIENCE = 10  # s for the raw REPL to answer
OLDEST = (1, 24)  # the first MicroPython with the RP2350
INSTALL = """To put MicroPython on it (files: micropython.org/download, by the board's name):
  RP2040 or RP2350: hold the BOOTSEL button while you plug the board in, then copy the .uf2 file onto the
                    drive that appears; it restarts by itself.
  ESP32-S3:         pip install esptool
                    esptool --port PORT erase-flash
                    esptool --port PORT write-flash 0 FILE.bin"""
LOST = (serial.SerialException, TransportError, OSError)  # what a board that vanishes looks like

_WHO = """
import os, sys
def _read(p):
    try:
        with open(p) as f: return f.read(400)
    except OSError: return ''
def _board():
    try:
        with open(%r, 'rb') as f:
            f.seek(%d)
            return f.read(%d).rstrip(b'\\0').decode()
    except (OSError, UnicodeError): return _read('board.txt').strip()
_i = sys.implementation
_s = os.statvfs('')
print(repr((_i.name, tuple(_i.version)[:3], _i._machine, getattr(_i, '_mpy', 0), _s[0],
    _s[3] * _s[0] if _s[3] <= _s[2] else 0,  # nearly full, littlefs may count below 0
    _read('main.py'), _board())))
"""
# An interrupted app leaves its archive open, and mounted over what lies in folders of the same names. littlefs counts a
# file's blocks twice, and does not free them, once one of two that have it open has closed it.
LET_GO = """
import sys
if 'halfstop' in sys.modules:
    import vfs
    for _p in %r:
        try: vfs.umount('/' + _p)
        except OSError: pass
    sys.modules['halfstop'].file.close()
"""
# An interrupted app leaves its watchdog running. A timer feeds it while we work: the light stays on the line.
# Its names are not those of remote.py's scripts, which run in the same place.
# On the ESP32 timers 0 and 1 step the ports and 3 ends the buzzer's tone (hal/esp32/make.py).
KEEP_AWAKE = """
try:
    import machine
    _dog = machine.WDT(timeout=8000)
    _timer = machine.Timer(2 if 'ESP32' in __import__('sys').implementation._machine else -1)
    _timer.init(period=1000, callback=lambda t: _dog.feed())
except (ImportError, AttributeError):
    pass
"""


class Who:
    """What is at the other end. chip: one of CHIPS or ""; arch: mpy-cross's name of it."""

    CHIPS = ("rp2040", "rp2350", "esp32s3")
    ARCHES = ("", "x86", "x64", "armv6", "armv6m", "armv7m", "armv7em", "armv7emsp", "armv7emdp", "xtensa",
              "xtensawin", "rv32imc", "rv64imc")

    def __init__(self, told):
        self.name, self.version, self.machine, mpy, self.block, self.free, self.main, self.board = told
        self.chip = next((chip for chip in self.CHIPS if chip in self.machine.lower()), "")
        self.mpy = mpy & 0xFF
        self.mpy_sub = mpy >> 8 & 3
        self.arch = self.ARCHES[mpy >> 10] if mpy >> 10 < len(self.ARCHES) else ""

    @property
    def installed(self):
        """True where our program is the board's main."""
        return "halfstop" in self.main.lower()


def likely_ports():
    """Serial ports that look like a board: list of (port, what)."""
    found = serial.tools.list_ports.comports()
    return [(one.device, MAKERS[one.vid]) for one in sorted(found) if one.vid in MAKERS]


def choose_port():
    """The one port with a board. Errors: Refused for none or several."""
    found = likely_ports()
    if len(found) == 1:
        return found[0][0]
    if found:
        names = "\n".join(f"  --port {port}   ({what})" for port, what in found)
        raise Refused(f"several boards are plugged in; choose one:\n{names}")
    raise Refused("no board found. Plug it in with a USB cable that carries data (many only charge). If it "
                  "is on a port not known here, name it: --port PORT. A board without MicroPython has none.\n"
                  + INSTALL)


def connect(port):
    """Open a port and its raw REPL, without a reset -> mpremote's SerialTransport. Errors: Refused."""
    said = io.StringIO()
    try:
        with contextlib.redirect_stdout(said):  # mpremote prints what it could not read
            link = SerialTransport(port, timeout=PATIENCE / 2)
    except LOST as error:
        raise Refused(why_closed(port, error)) from error
    for last in (False, False, True):  # a board that is just restarting does not hear the first call
        try:
            with contextlib.redirect_stdout(said):
                link.enter_raw_repl(soft_reset=False, timeout_overall=PATIENCE / 3)
            break
        except LOST as error:
            if last:
                link.close()
                raise Refused(f"{port} opens, but MicroPython does not answer there. If the board was just plugged "
                              "in, press its reset button and try again.\n" + INSTALL) from error
    return link


def why_closed(port, error):
    """What to do about a port that did not open."""
    try:
        serial.serial_for_url(port, exclusive=True).close()
    except (serial.SerialException, OSError, ValueError) as again:
        error = again
    code = getattr(error, "errno", None)
    if code == errno.EACCES and os.path.exists(port) and not os.access(port, os.R_OK | os.W_OK):
        return f"{port}: you may not use it. On Linux: sudo usermod -aG dialout $USER, then log in again."
    if code in (errno.EBUSY, errno.EAGAIN, errno.EACCES) or "lock" in str(error):
        return f"{port} is in use by another program (serial monitor, editor?): close it there and try again."
    if code == errno.ENOENT:
        there = ", ".join(device for device, _ in likely_ports()) or "none that looks like a board"
        return f"there is no port {port}; ports here: {there}."
    return f"{port} did not open: {error}. Unplug the board, plug it in again and try once more."


def present(port):
    """True where a port can be opened now."""
    try:
        serial.serial_for_url(port, exclusive=True).close()
    except (serial.SerialException, OSError, ValueError):
        return False
    return True


def ask(link, code):
    """Run code that prints one Python value; returns the value. Errors: LOST."""
    return ast.literal_eval(link.exec(code).decode().strip())


def who_script():
    """What a board is asked about itself."""
    return _WHO % (pack.FILE, archive.BOARD_AT, archive.NAME)


def who(link):
    """Identify the board, keep its watchdog fed while we talk. Errors: Refused for a system we can't use."""
    link.exec(KEEP_AWAKE if "halfstop" in _main(link) else "")
    link.exec(LET_GO % (pack.OURS,))
    there = Who(ask(link, who_script()))
    if there.name != "micropython":
        raise Refused(f"the board runs {there.name}, not MicroPython.\n{INSTALL}")
    if there.version[:2] < OLDEST:
        old = ".".join(str(part) for part in there.version)
        need = ".".join(str(part) for part in OLDEST)
        raise Refused(f"the board's MicroPython is {old}; Halfstop needs {need} or newer.\n{INSTALL}")
    return there


def _main(link):
    try:
        return link.exec("print(open('main.py').read(400))").decode(errors="replace").lower()
    except TransportExecError:
        return ""


def start(link):
    """Soft reset, so that main.py runs; the port stays open."""
    link.exit_raw_repl()
    link.serial.write(b"\x04")


@contextlib.contextmanager
def opened(name, verb):
    """The board's raw REPL for as long as a verb works: `with opened(port, "backup") as link`; after it, well or not,
    the board starts again. name: None: the one port with a board. Errors: Refused; also in place of LOST, saying that
    the verb can be run again."""
    name = name or choose_port()
    port = connect(name)
    try:
        try:
            yield port
        except BaseException as error:
            if not isinstance(error, LOST) or isinstance(error, TransportExecError) or _of_a_file(error, name):
                start(port)  # it is still there
            raise
        start(port)
    except TransportExecError as error:
        raise Refused(f"the board refused a step:\n{error}\nRun {verb} again; it goes on where it was.") from error
    except LOST as error:
        if _of_a_file(error, name):
            raise
        raise Refused(f"{name}: the board went away ({error or type(error).__name__}). Nothing is lost: plug it in "
                      f"again and run {verb} again, it goes on where it was.") from error
    finally:
        try:
            port.close()
        except LOST as error:
            print(f"(the port did not close cleanly: {error})", file=sys.stderr)


def _of_a_file(error, name):
    """True for what is wrong with a file of this computer: the board is not to blame."""
    return getattr(error, "filename", None) not in (None, name)
