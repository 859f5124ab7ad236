"""Shorter names for the code on a small board. MicroPython keeps every name that code uses in RAM for good: of globals,
attributes, functions and parameters. Used by host/pack.py.

Six steps, all on the whole program, and no more than calling things by other names:

* A whole number that has a name stands where the name stood (constants.py).
* A parameter that nobody passes by keyword gets one of a few names that all functions share.
* What one module alone knows of, its functions and what its objects ask of themselves, gets one of a few that all
  modules share.
* Every other name that is ours alone gets a shorter one, the same everywhere: where there is one, a name that
  MicroPython has in ROM and that the program does not use for anything (rom_names.py), else three characters.
* A module of the firmware lies in no folder and has a name that MicroPython has in ROM, so that only its file's name is
  new. Full names of modules are shortened where they are imported and where they stand in a string; in the table of
  pages too.
* What is imported for const() alone is not imported: the compiler knows it.

Left as they are: names that occur as a string (getattr, tables of verbs, keys of JSON: in RAM anyway), keywords of
calls, modules of other folders, what belongs to Python or to the chip, and all names with two underscores.
"""

import array
import ast
import builtins
import collections
import io
import keyword
import re
import types
import zlib

from host.constants import Constants
from host.rom_names import ROM, RP2, SCRIPTED, SPECIAL

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_DIGITS = _LETTERS + "0123456789"
_TURNS = 40  # of looking for a free name in ROM
_CHIPS = ROM + RP2  # what costs nothing on the board that has short names
_LONGEST = 7  # letters of a module's short name
_FLAT = "firmware."  # modules of this folder are renamed; main.py of the board asks for the one that is not
_START = "firmware.main"
_TABLE = "firmware/ui/pages/table.py"  # has names of modules behind blanks; what it puts before them:
_PAGES = "firmware.ui.pages."
_ALL_DAY = ("firmware/show/", "firmware/stage/", "firmware/light/", "firmware/app", "hal/")  # pages come and go
_OURS = ("firmware", "hal", "boards", "sim")
_CHIP = ("machine", "rp2", "esp32", "uctypes")  # what these modules' objects are asked for is theirs
_TYPES = (str, bytes, bytearray, list, tuple, dict, set, frozenset, int, float, complex, memoryview, range, type,
          object, BaseException, OSError, collections.deque, collections.OrderedDict, array.array, io.FileIO,
          io.TextIOWrapper, io.BytesIO, io.StringIO, types.GeneratorType)
_MODULES = ("array", "asyncio", "binascii", "errno", "gc", "io", "json", "math", "os", "random", "struct", "sys",
            "time")
# What MicroPython's ports have as modules besides: `import` finds those before ours, or instead.
_BUILT_IN = (*_MODULES, "aioble", "argparse", "bluetooth", "builtins", "cmath", "collections", "cryptolib", "deflate",
             "dht", "ds18x20", "framebuf", "hashlib", "heapq", "js", "machine", "main", "marshal", "micropython", "mip",
             "neopixel", "network", "onewire", "platform", "random", "re", "requests", "rp2", "select", "socket", "ssl",
             "string", "termios", "tls", "uctypes", "usys", "vfs", "weakref")


class Map:
    """The short names of a program. `names`: {name: its short one}, of the fourth step; `own`: {path: the same}, of the
    third; `modules`: {full name of a module: its short one}; `constants`: the numbers."""

    def __init__(self, sources):
        """sources: {path: Python text} of all modules that can meet on a board."""
        self.modules = _flat(map(_dotted, sources))
        trees = {path: ast.parse(text, path) for path, text in sources.items()}
        self.constants = Constants({_dotted(path): tree for path, tree in trees.items()},
                                    set().union(*map(_strings, trees.values())))
        trees = {path: self._parsed(text, path) for path, text in sources.items()}
        told = set(SCRIPTED).union(*map(_told, trees.values()))
        told.update(*(path.removesuffix(".py").split("/") for path in sources if _dotted(path) not in self.modules))
        told.update(path.removesuffix(".py").split("/")[-1].upper() for path in sources)  # drivers' classes
        self._keep = told | _pythons()
        consts = set().union(*map(_consts, trees.values()))  # those with an underscore are in no .mpy at all
        alone = _alone(trees)
        for tree in trees.values():
            self._share(tree)
        used = {name for tree in trees.values() for _node, _field, name in _identifiers(tree)} | told
        stored = {path: {name for name in _stored(tree) if not self._stays(name) and name not in consts}
                  for path, tree in trees.items()}
        codes = [code for code in (a + b for a in _LETTERS for b in _DIGITS) if code not in used | self._keep]
        self.own = {path: dict(zip(sorted(stored[path] & alone[path]), codes)) for path in trees
                    if not path.startswith("sim/")}  # scripts ask these for more than the program does
        first = set().union(*(names for path, names in stored.items() if path.startswith(_ALL_DAY)))
        wanted = set().union(*(stored[path] - set(self.own.get(path, ())) for path in trees))
        self.names = _assigned(sorted(wanted, key=lambda name: (name not in first, _number(name))), used | set(codes))

    def _stays(self, name):
        return name in self._keep or name.startswith("__") or len(name) < 2

    def shorten(self, text, path=""):
        """One module's text with short names. It has the same lines of code in the same order, but not line by line.
        path: as in `sources`; another text is one that uses the program."""
        tree = self._parsed(text, path or "<text>")
        self._share(tree)
        short = {**self.names, **self.own.get(path, {})}
        for node, field, name in list(_identifiers(tree)):
            if name in short:
                _rename(node, field, short[name])
        for node in ast.walk(tree):
            self._shorten_modules(node, path == _TABLE)
        return _pairs_bare(ast.unparse(_Imports(self.modules).visit(tree)))

    def path(self, path):
        """Where a module's file lies among short names."""
        dotted = _dotted(path)
        return self.modules.get(dotted, dotted).replace(".", "/") + ".py"

    def real(self, module, short):
        """(full name of a module, name in it) that stand behind two short ones; a name that is none is itself."""
        module = next((full for full, code in self.modules.items() if code == module), module)
        own = self.own.get(module.replace(".", "/") + ".py", {})
        back = {code: name for names in (self.names, own) for name, code in names.items()}
        return module, back.get(short, short)

    def _parsed(self, text, path):
        """A tree in which a module that is imported from its folder stands with its full name, which is no identifier,
        beside the name that it gets."""
        tree = self.constants.put_in(ast.parse(text, path), _dotted(path))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    full = f"{node.module}.{alias.name}"
                    if full in self.modules:
                        alias.asname, alias.name = alias.asname or alias.name, full
        return tree

    def _shorten_modules(self, node, table):
        """The fifth step, on one node, but for imports of modules. table: of the table of pages."""
        if isinstance(node, ast.ImportFrom):
            node.module = self.modules.get(node.module, node.module)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            node.value = self.modules.get(node.value, node.value)
            if table:
                node.value = re.sub(r"(?<= )[\w.]+", self._page, node.value.replace(_PAGES, ""))

    def _page(self, found):
        return self.modules.get(_PAGES + found[0], found[0])

    def _share(self, tree):
        """The second step, from the outermost function inwards."""
        for node in ast.walk(tree):
            if isinstance(node, (ast.FunctionDef, ast.Lambda)):
                self._share_one(node)

    def _share_one(self, function):
        args = function.args
        own = [a.arg for a in args.posonlyargs + args.args + [args.vararg, args.kwarg]
               if a is not None and a.arg not in self._keep]
        found = list(_identifiers(function))
        taken = {name for _node, _field, name in found} | {a.arg for a in args.kwonlyargs}
        free = (letter for letter in _LETTERS if letter not in taken or letter in own)
        new = {name: next(free) for name in own}
        for node, field, name in found:
            if name in new and field in ("id", "arg", "name") and not isinstance(node, (ast.keyword, ast.FunctionDef)):
                _rename(node, field, new[name])


class _Imports(ast.NodeTransformer):
    """The fifth step, on imports of modules from their folder; and the sixth."""

    def __init__(self, modules):
        self._modules = modules

    def visit_ImportFrom(self, node):
        if all(alias.name in self._modules for alias in node.names):
            return ast.Import([ast.alias(self._modules[alias.name], alias.asname) for alias in node.names])
        if node.module == "micropython":
            node.names = [alias for alias in node.names if alias.name != "const"]
        return node if node.names else None


def _pairs_bare(text):
    """A text with the pairs that are assigned at once as their author wrote them, `a, b = c, d`: ast.unparse puts the
    values in parentheses, and then the compiler makes a tuple of them on the heap."""
    lines = [line.encode() for line in text.split("\n")]
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Assign) and all(isinstance(side, ast.Tuple) for side in (node.targets[0], node.value)):
            pair = node.value  # the last parenthesis goes first, so that the first is still where the tree has it
            for number, at in (pair.end_lineno - 1, pair.end_col_offset - 1), (pair.lineno - 1, pair.col_offset):
                lines[number] = lines[number][:at] + lines[number][at + 1:]
    return b"\n".join(lines).decode()


def _dotted(path):
    return path.removesuffix(".py").replace("/", ".")


def _flat(names):
    """{full name of a module: its short one} of those in the folder that becomes flat."""
    words = [name for name in _CHIPS if name.islower() and len(name) <= _LONGEST and not keyword.iskeyword(name)
             and name not in _BUILT_IN and name not in _OURS and name[0] != "_"]
    taken, out = set(), {}
    for name in sorted(names):
        if name.startswith(_FLAT) and name != _START and not name.endswith(".__init__"):
            number = _number(name)
            while words[number % len(words)] in taken:
                number += 1
            out[name] = words[number % len(words)]
            taken.add(out[name])
    return out


def _identifiers(tree):
    """(node, field, name) of every place where a tree has a name. A dotted name of an import is none."""
    for node in ast.walk(tree):
        for field in ("id", "attr", "arg", "name", "asname"):
            name = getattr(node, field, None)
            if isinstance(name, str) and "." not in name:
                yield node, field, name
        if isinstance(node, (ast.Global, ast.Nonlocal)):
            for at, name in enumerate(node.names):
                yield node, at, name


def _rename(node, field, name):
    if isinstance(field, int):
        node.names[field] = name
    else:
        setattr(node, field, name)


def _alone(trees):
    """{path: names that nothing outside this module knows of}: they occur in no other, and where they are attributes,
    only in self.name, of classes that no other module goes on from."""
    found = {path: {name for _node, _field, name in _identifiers(tree)} for path, tree in trees.items()}
    count = collections.Counter(name for names in found.values() for name in names)
    bases = {path: {ast.unparse(base).split(".")[-1] for node in ast.walk(tree) if isinstance(node, ast.ClassDef)
                    for base in node.bases} for path, tree in trees.items()}
    out = {}
    for path, tree in trees.items():
        foreign = set().union(*(names for other, names in bases.items() if other != path))
        out[path] = {name for name in found[path] if count[name] == 1} - _asked(tree, foreign)
    return out


def _asked(tree, foreign):
    """Attributes of others than self; and all of them where classes of `foreign` names begin."""
    based = any(isinstance(node, ast.ClassDef) and node.name in foreign for node in ast.walk(tree))
    asked = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)
             and (based or not (isinstance(node.value, ast.Name) and node.value.id == "self"))}
    if based:
        asked |= {name for node in ast.walk(tree) if isinstance(node, ast.ClassDef)
                  for name in [*_set_in(node), *(one.name for one in node.body if isinstance(one, ast.FunctionDef))]}
    return asked


def _stored(tree):
    """Names that the compiled module keeps: its globals, attributes, functions, parameters."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            found.add(node.name)
        elif isinstance(node, ast.arg):
            found.add(node.arg)
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            found.add(node.attr)
    return found | set(_set_in(tree))


def _set_in(node):
    """Names that the body of a module or of a class sets."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Name) and isinstance(child.ctx, ast.Store):
            yield child.id
        elif isinstance(child, ast.alias):
            yield child.asname or child.name
        if not isinstance(child, (ast.FunctionDef, ast.Lambda)):
            yield from _set_in(child)


def _consts(tree):
    """Names that MicroPython's const() makes vanish."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and ast.unparse(node.value).startswith("const("):
            yield from (target.id for target in node.targets if target.id.startswith("_"))


def _pythons():
    """Names that belong to Python."""
    keep = set(keyword.kwlist) | set(dir(builtins)) | set(SPECIAL)
    for kind in _TYPES:
        keep |= set(dir(kind))
    for module in _MODULES:
        keep |= set(dir(__import__(module)))
    return keep


def _strings(tree):
    """Strings that could be names."""
    return {node.value for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier()}


def _told(tree):
    """Names that one module says must stay: strings, keywords of calls, imported modules, the chip's own."""
    keep, chip = _strings(tree), False
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg:
            keep.add(node.arg)
        elif isinstance(node, ast.Import):
            keep |= {part for alias in node.names for part in alias.name.split(".")}
            chip |= any(alias.name in _CHIP for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            chip |= node.module in _CHIP
            if node.module.split(".")[0] not in _OURS:
                keep |= {alias.name for alias in node.names} | set(node.module.split("."))
        elif isinstance(node, ast.FunctionDef) and any("asm_pio" in ast.dump(d) for d in node.decorator_list):
            keep |= {name for _node, _field, name in _identifiers(node)}
    if chip:
        keep |= {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)
                 and not node.attr.startswith("_")}
    return keep


def _assigned(names, used):
    """{name: short one}, no two alike and none of `used`; those first in `names` have the first choice. What a
    name gets hangs on it alone, unless another wants the same: a new name changes few others."""
    out, taken = {}, used | set(SPECIAL)
    for turn in range(_TURNS):
        for name in names:
            rom = _CHIPS[_number(name, turn) % len(_CHIPS)]
            if name not in out and rom not in taken:
                out[name] = rom
                taken.add(rom)
    for name in sorted(set(names) - set(out)):
        short = _coded(name, taken)
        if len(short) < len(name):
            out[name] = short
            taken.add(short)
    return out


def _number(name, turn=0):
    return zlib.crc32(name.encode(), turn)


def _coded(name, taken):
    """Three characters that nothing else is called."""
    number = _number(name)
    while True:
        code = _LETTERS[number % 26] + _DIGITS[number // 26 % 36] + _DIGITS[number // 936 % 36]
        if code not in taken and not keyword.iskeyword(code):
            return code
        number += 1
