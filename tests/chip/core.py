"""The C half of the emulated RP2040: compiled on first use, and its functions as Python sees them."""

import ctypes
import hashlib
import os
import pathlib
import shutil
import subprocess

HERE = pathlib.Path(__file__).parent / "c"
BUILD = pathlib.Path(__file__).parents[2] / "build"
NEVER = 2**64 - 1
CYCLE_NS = 8  # 125 MHz
RESTART, LOCKUP, CALLER = 1, 2, 4
READ = ctypes.CFUNCTYPE(ctypes.c_uint32, ctypes.c_uint32)
WRITE = ctypes.CFUNCTYPE(None, ctypes.c_uint32, ctypes.c_uint32)
ALARMS = ctypes.CFUNCTYPE(None)


class NoCompiler(Exception):
    """There is no C compiler on this machine."""


class Head(ctypes.Structure):
    """The first fields of `struct Chip` in c/chip.h."""

    _fields_ = [("now", ctypes.c_uint64), ("alarm", ctypes.c_uint64), ("stop", ctypes.c_uint32),
                ("odd", ctypes.c_uint32)]


_WORD, _LONG, _INT, _CHIP = ctypes.c_uint32, ctypes.c_uint64, ctypes.c_int, ctypes.c_void_p
_FUNCTIONS = {  # name: (result, arguments after the chip)
    "run": (_WORD, _LONG), "free": (None,), "reset": (None,), "tear": (None,),
    "drive": (None, _WORD, _WORD), "watch": (None, _INT), "irq": (None, _INT, _INT), "level": (_WORD,),
    "read": (_WORD, _WORD), "write": (None, _WORD, _WORD), "count": (_LONG, _INT),
    "register": (_WORD, _INT), "set_register": (None, _INT, _WORD),
    "edges": (_WORD, _INT), "edge_data": (ctypes.POINTER(_LONG), _INT),
    "log": (_WORD, _INT), "log_at": (ctypes.POINTER(_LONG), _INT), "log_what": (ctypes.POINTER(_WORD), _INT),
    "log_pins": (ctypes.POINTER(_WORD), _INT), "log_clear": (None, _INT),
    "i2c_device": (None, _INT, _INT, _INT, _INT),
}
_library = None


def compiler():
    """The C compiler's name, or None."""
    return next((name for name in (os.environ.get("CC"), "cc", "gcc", "clang") if name and shutil.which(name)), None)


def _compiled():
    """Path of the shared library, compiled if no earlier run did it from the same sources."""
    sources = sorted(HERE.glob("*.[ch]"))
    digest = hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()[:16]
    path = BUILD / f"chip-{digest}.so"
    if path.exists():
        return path
    cc = compiler()
    if cc is None:
        raise NoCompiler("the emulated RP2040 is written in C and no compiler (cc, gcc, clang) was found: install one, "
                         "for example the Debian packages gcc and libc6-dev")
    BUILD.mkdir(exist_ok=True)
    fresh = path.with_suffix(f".{os.getpid()}")
    subprocess.run([cc, "-O2", "-shared", "-fPIC", "-o", str(fresh), str(HERE / "chip.c")], check=True)
    fresh.replace(path)
    return path


def library():
    """The loaded library. NoCompiler where it cannot be made."""
    global _library
    if _library is None:
        loaded = ctypes.CDLL(str(_compiled()))
        loaded.chip_new.restype = _CHIP
        loaded.chip_new.argtypes = [ctypes.c_void_p] * 4 + [READ, WRITE, ALARMS, _INT]
        for name, (result, *arguments) in _FUNCTIONS.items():
            function = getattr(loaded, "chip_" + name)
            function.restype, function.argtypes = result, [_CHIP, *arguments]
        _library = loaded
    return _library


class Core:
    """One chip. ram, flash, rom, dpram: bytearrays that it shares; read, write: for registers that C does not have;
    alarms: called when `head.alarm` (cycles) has come."""

    def __init__(self, ram, flash, rom, dpram, read, write, alarms, cache):
        self._lib = library()
        self.failed = None  # an exception of one of the three

        def guard(function, otherwise=None):
            def call(*arguments):
                try:
                    return function(*arguments)
                except BaseException as error:  # ctypes would print and forget it
                    self.failed = self.failed or error
                    self.head.stop |= CALLER
                    return otherwise

            return call

        self._held = (READ(guard(read, 0)), WRITE(guard(write)), ALARMS(guard(alarms)))
        self._buffers = [(ctypes.c_ubyte * len(b)).from_buffer(b) for b in (ram, flash, rom, dpram)]
        self._chip = self._lib.chip_new(*(ctypes.addressof(b) for b in self._buffers), *self._held, cache)
        self.head = ctypes.cast(self._chip, ctypes.POINTER(Head)).contents

    def __del__(self):
        if getattr(self, "_chip", None):
            self._lib.chip_free(self._chip)

    def __getattr__(self, name):
        if name not in _FUNCTIONS:
            raise AttributeError(name)
        function = getattr(self._lib, "chip_" + name)

        def call(*arguments):
            return function(self._chip, *arguments)

        setattr(self, name, call)
        return call

    @property
    def ns(self):
        return self.head.now * CYCLE_NS

    def edges_from(self, pin, start):
        """[(ns, level)] of a watched pin, from the `start`th on."""
        end, data = self.edges(pin), None
        if start < end:
            data = self.edge_data(pin)
        return [(v >> 1, v & 1) for v in data[start:end]] if data else []

    def log_from(self, which, start=0):
        """[(ns, what, levels of the pins)] of SPI 0 and 1 (which 0, 1) or I2C 0 and 1 (which 2, 3)."""
        end = self.log(which)
        if start >= end:
            return []
        rows = zip(self.log_at(which)[start:end], self.log_what(which)[start:end], self.log_pins(which)[start:end])
        return [(at * CYCLE_NS, what, pins) for at, what, pins in rows]
