"""A stand-in for MicroPython's `rp2.asm_pio`, so that the very source of hal/rp2/pio_programs.py runs in emulators.

The words are encoded by the PIO assembler that comes with the rp2040py emulator; this only reads the source's
names and labels. Source of the language: MicroPython's documentation of rp2.asm_pio (from memory).
"""

import builtins
import types

from rp2040py.utils import pio_assembler as encode

_SOURCES = {"pins": 0, "x": 1, "y": 2, "null": 3, "pindirs": 4, "status": 5, "isr": 6, "osr": 7}
_MOV_TO = {"pins": 0, "x": 1, "y": 2, "exec": 4, "pc": 5, "isr": 6, "osr": 7}
_WHEN = {"not_x": 1, "x_dec": 2, "not_y": 3, "y_dec": 4, "x_not_y": 5, "pin": 6, "not_osre": 7}


class PIO:
    """rp2.PIO: its constants. A chip (chip.py) adds what it does."""

    IN_LOW, IN_HIGH, OUT_LOW, OUT_HIGH = range(4)
    SHIFT_LEFT, SHIFT_RIGHT = 0, 1
    JOIN_NONE, JOIN_TX, JOIN_RX = 0, 1, 2


class Program:
    """An assembled program: code (16-bit words, jumps counted from 0), wrap_target, wrap, options."""

    def __init__(self, options):
        self.options = options
        self.code, self._late, self._labels = [], [], {}
        self.wrap_target, self.wrap = 0, None

    def emit(self, word):
        self.code.append(word)
        return _Delay(self)

    def finish(self):
        for place, label in self._late:
            self.code[place] |= self._labels[label]
        if self.wrap is None:
            self.wrap = len(self.code) - 1
        assert len(self.code) <= 32, f"{len(self.code)} instructions; a PIO has 32"
        return self

    def at(self, offset):
        """The code as it is loaded at an offset: jumps (instruction 000) moved."""
        return [word + offset if word >> 13 == 0 else word for word in self.code]

    def names(self):
        """What the source may say."""
        words = {name: name for name in (*_SOURCES, *_MOV_TO, *_WHEN)}
        words |= {"block": "block", "noblock": "noblock", "clear": "clear"}
        verbs = {name: getattr(self, "_" + name) for name in
                 ("label", "jmp", "wait", "in_", "out", "push", "pull", "mov", "nop", "set", "wrap_target", "irq")}
        return words | verbs | {"wrap": self._wrap_here, "invert": lambda source: ("invert", source),
                                "rel": lambda number: 0x10 | number}

    def _label(self, name):
        self._labels[name] = len(self.code)

    def _wrap_target(self):
        self.wrap_target = len(self.code)

    def _wrap_here(self):
        self.wrap = len(self.code) - 1

    def _jmp(self, when, label=None):
        condition = 0 if label is None else _WHEN[when]
        self._late.append((len(self.code), when if label is None else label))
        return self.emit(encode.pio_jmp(0, condition))

    def _wait(self, polarity, source, index):
        return self.emit(encode.pio_wait(polarity, {"gpio": 0, "pin": 1, "irq": 2}[source], index))

    def _in_(self, source, count):
        return self.emit(encode.pio_in(_SOURCES[source], count))

    def _out(self, to, count):
        return self.emit(encode.pio_out(_SOURCES[to], count))

    def _push(self, how="block"):
        return self.emit(encode.pio_push(False, how == "block"))  # its second bit is "block" in the chip

    def _pull(self, how="block"):
        return self.emit(encode.pio_pull(False, how == "block"))

    def _mov(self, to, source):
        turn = isinstance(source, tuple)
        return self.emit(encode.pio_mov(_MOV_TO[to], _SOURCES[source[1] if turn else source], int(turn)))

    def _irq(self, how, number=None):
        return self.emit(encode.pio_irq(how == "clear", how == "block", how if number is None else number))

    def _nop(self):
        return self._mov("y", "y")

    def _set(self, to, value):
        return self.emit(encode.pio_set({"pins": 0, "x": 1, "y": 2, "pindirs": 4}[to], value))


class _Delay:
    def __init__(self, program):
        self._program = program

    def __getitem__(self, cycles):
        assert 0 <= cycles <= 31
        self._program.code[-1] |= cycles << 8
        return self


def asm_pio(**options):
    """As rp2.asm_pio: assembles the decorated function."""

    def assemble(function):
        program = Program(options)
        names = function.__globals__ | program.names() | {"__builtins__": builtins}
        types.FunctionType(function.__code__, names)()
        return program.finish()

    return assemble
