"""Short words as constants of a compiled module. mpy-cross makes a name of every string of ten bytes or less, and what
MicroPython has as a name stays in RAM until the chip restarts, in tables of which each is twice the one before
(py/qstr.c). Here the words that a module only loads, such as those on its page, become constants, which go with it.
Used by host/pack.py.

The format is that of .mpy version 6: "MicroPython .mpy files" in MicroPython's documentation, and py/bc.h, py/bc0.h and
py/persistentcode.c of its source. Operands keep their length, so that no jump in the code changes.
"""

import ast

from host.rom_names import ROM, RP2

_VERSION = b"M\x06"
_LOAD_NAME, _LOAD_CONSTANT = 0x10, 0x23  # the instructions for a string's name and for a constant
_STR, _TUPLE = 5, 10  # kinds of constants; those below a str have no content
_BYTES = 6
_FORMATS = 0x3A4  # two bits for each sixteen instructions: what follows the instruction
_NAME, _OFFSET = 1, 3
_EXTRA = 0x9E  # an instruction with none of these bits has one byte more


def as_constants(data, stay):
    """A compiled module in which the words it only loads are constants: bytes. data: the .mpy; stay: the strings that
    remain names, see remaining(). A module with machine code is returned as it is: what that loads cannot be read here.
    Errors: ValueError for another format."""
    module = _Module(data)
    if not module.readable:
        return data
    uses = [_uses(code) for _head, code, _children in module.codes]
    moved = _moved(module, uses, stay)
    if not moved:
        return data
    left = [index for index in range(len(module.names)) if index not in moved]
    for (_head, code, _children), found in zip(module.codes, uses):
        for at, length, index, _loaded in found:
            if index in moved:
                code[at - 1] = _LOAD_CONSTANT
            number = moved[index] if index in moved else left.index(index)
            code[at : at + length] = _number(number, length)
    words = [_number(_STR) + _number(len(word)) + word + b"\0" for word in (module.names[index] for index in moved)]
    return module.bytes([module.entries[index] for index in left], module.constants + words)


def remaining(sources, roots):
    """The strings to leave as names: MicroPython's, those of modules that stay loaded, and keywords of calls, which
    must be names: frozenset. sources: {path: Python text}; roots: dotted names of modules that stay loaded; what they
    import at the top stays too."""
    trees = {path: ast.parse(text, path) for path, text in sources.items()}
    asked, day = list(roots), set()
    found = {*ROM, *RP2}
    while asked:
        path = asked.pop().replace(".", "/") + ".py"
        if path in trees and path not in day:
            day.add(path)
            found.update(*map(_words, ast.walk(trees[path])))
            for node in trees[path].body:
                if isinstance(node, ast.ImportFrom):
                    asked += [node.module] + [f"{node.module}.{alias.name}" for alias in node.names]
    return frozenset(found.union(*(_keywords(tree) for tree in trees.values())))


def _words(node):
    """What a node of a module makes names of: list of str."""
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    return [name for field in ("id", "attr", "arg", "name") for name in [getattr(node, field, None)] if name]


def _keywords(tree):
    return {node.arg for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg}


class _Module:
    """A .mpy taken apart. `names`: bytes of each entry in its table, None for one that stands there by a number;
    `entries`: the same as they lie there, `constants` too; `codes`: (head, code, count of children or None) of each
    function, parents first. `readable`: False where there is machine code, then `codes` is not whole."""

    def __init__(self, data):
        self._data, self._at = data, 4
        if not data.startswith(_VERSION):
            raise ValueError("not a .mpy of version 6")
        names, constants = self._number(), self._number()
        self.entries, self.names, self.codes = [], [], []
        for _ in range(names):
            begin, length = self._at, self._number()
            self._at += 0 if length & 1 else (length >> 1) + 1
            self.entries.append(data[begin : self._at])
            self.names.append(None if length & 1 else data[self._at - 1 - (length >> 1) : self._at - 1])
        self.constants = [self._constant() for _ in range(constants)]
        self.readable = self._code()

    def _number(self):
        value, length = _operand(self._data, self._at)
        self._at += length
        return value

    def _constant(self):
        begin, kind = self._at, self._data[self._at]
        self._at += 1
        if kind >= _STR:
            length = self._number()
            if kind == _TUPLE:
                for _ in range(length):
                    self._constant()
            else:
                self._at += length + (kind in (_STR, _BYTES))
        return self._data[begin : self._at]

    def _code(self):
        head = self._number()
        if head & 3:
            return False
        code = bytearray(self._data[self._at : self._at + (head >> 3)])
        self._at += len(code)
        children = self._number() if head & 4 else None
        self.codes.append((head, code, children))
        return all(self._code() for _ in range(children or 0))

    def bytes(self, entries, constants):
        """The module with other tables."""
        made = [self._data[:4], _number(len(entries)), _number(len(constants)), *entries, *constants]
        for head, code, children in self.codes:
            made += [_number(head), code, b"" if children is None else _number(children)]
        return b"".join(made)


def _number(value, length=1):
    """A whole number in sevens of bits, the highest first, in at least so many bytes."""
    made = [value & 0x7F]
    while value > 0x7F or len(made) < length:
        value >>= 7
        made.append(value & 0x7F | 0x80)
    return bytes(reversed(made))


def _moved(module, uses, stay):
    """{index of a name that becomes a constant: the constant's}: of those that are nothing but loaded, where the
    constant's index has room in every place."""
    room, other = {}, {0}  # the first is the module's
    for found in uses:
        for _at, length, index, loaded in found:
            room[index] = min(length, room.get(index, length))
            if not loaded:
                other.add(index)
    moved, constant = {}, len(module.constants)
    for index in sorted(room.keys() - other):
        name = module.names[index]
        if name is not None and name.decode() not in stay and len(_number(constant)) <= room[index]:
            moved[index] = constant
            constant += 1
    return moved


def _uses(code):
    """Where a function's code has a name: list of (offset of the operand, its length, index of the name, whether the
    instruction does nothing but load it)."""
    arguments, at, begin = _head(code)
    found = []
    for _ in range(1 + arguments):  # its own name, and those of its arguments
        value, length = _operand(code, at)
        found.append((at, length, value, False))
        at += length
    at = begin
    while at < len(code):
        instruction = code[at]
        kind, at = _FORMATS >> 2 * (instruction >> 4) & 3, at + 1
        if kind == _OFFSET:
            at += 2 if code[at] & 0x80 else 1
        elif kind:
            value, length = _operand(code, at)
            if kind == _NAME:
                found.append((at, length, value, instruction == _LOAD_NAME))
            at += length
        at += not instruction & _EXTRA
    return found


def _head(code):
    """(count of arguments, offset of the names, offset of the first instruction). py/bc.h: MP_BC_PRELUDE_SIG_DECODE,
    MP_BC_PRELUDE_SIZE_DECODE."""
    byte, at, turn = code[0], 1, 0
    positional, keyword = byte & 3, 0
    while byte & 0x80:
        byte = code[at]
        positional |= (byte & 4) << turn
        keyword |= (byte >> 3 & 1) << turn
        at, turn = at + 1, turn + 1
    info = cells = turn = 0
    while True:
        byte = code[at]
        info |= (byte >> 1 & 0x3F) << 6 * turn
        cells |= (byte & 1) << turn
        at, turn = at + 1, turn + 1
        if byte < 0x80:
            return positional + keyword, at, at + info + cells


def _operand(code, at):
    """(a number's value, its length in bytes)."""
    value, length = 0, 0
    while True:
        byte = code[at + length]
        value, length = value << 7 | byte & 0x7F, length + 1
        if byte < 0x80:
            return value, length
