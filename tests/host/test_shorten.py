"""Shorter names are other names and nothing else: nothing that somebody else knows is renamed, no two become one."""

import ast
import contextlib
import io
import sys
import types

import pytest

from firmware.ui.pages import table
from host import faults, pack, shorten, words
from host.rom_names import ROM
from tests.vm import runner

PROGRAM = {
    "a.py": """
from micropython import const
from b import helper as helped, Base

_HIDDEN = const(3)
LENGTHY = 7
TABLE = ("called_by_name",)


def called_by_name(number_one, number_two=2, *the_rest):
    return number_one + number_two + sum(the_rest)


def by_keyword(*, wanted=1, **everything):
    inner = lambda number: number + wanted  # noqa: E731
    return inner(len(everything)) + sum(number for number in range(3))


class Derived(Base):
    shared_class_value = LENGTHY

    def __init__(self, value):
        super().__init__(value)
        self._private_value = _HIDDEN

    def public_method(self, other):
        try:
            return self._private_value + other._inherited + self.hook(other)
        except AttributeError as problem:
            return problem

    def hook(self, other):
        total = 0

        def deeper():
            nonlocal total
            total += other.value_of_base
        deeper()
        return total


thing = Derived(4)
print(globals()[TABLE[0]](1), by_keyword(wanted=5, third=1), thing.public_method(Derived(9)), helped(thing))
print(f"{thing.hook(thing):>4} {LENGTHY!r}", [number_one for number_one in "ab"], "called_by_name" in dir())
""",
    "b.py": """
counter = 0


class Base:
    def __init__(self, value):
        self.value_of_base = value
        self._inherited = 100

    def hook(self, other):
        raise NotImplementedError


def helper(thing):
    global counter
    counter += 1
    return thing.shared_class_value, counter, getattr(thing, "value_of_base"), {"value_of_base": 1}
""",
}


def run(sources):
    """What the program of a.py and b.py prints."""
    b = types.ModuleType("b")
    b.const = const
    exec(compile(sources["b.py"], "b.py", "exec"), b.__dict__)
    said = io.StringIO()
    sys.modules["b"] = b
    try:
        with contextlib.redirect_stdout(said):
            exec(compile(sources["a.py"], "a.py", "exec"), {"__name__": "a", "const": const})
    finally:
        del sys.modules["b"]
    return said.getvalue()


def const(number):
    """As MicroPython's compiler knows it, without an import."""
    return number


def test_a_program_says_the_same():
    names = shorten.Map(PROGRAM)
    short = {path: names.shorten(text, path) for path, text in PROGRAM.items()}
    assert run(short) == run(PROGRAM)
    for gone in ("_private_value", "public_method", "number_two", "the_rest", "counter", "helped"):
        assert gone not in short["a.py"] + short["b.py"], gone
    for stays in ("called_by_name", "wanted", "value_of_base", "_HIDDEN = const(3)", "__init__"):
        assert stays in short["a.py"], stays


NUMBERS = {
    "firmware/a.py": """
from micropython import const
from firmware.b import SHARED, MINUS as LESS, WORD, SET_TWICE
from firmware.d import HANDED_ON
from firmware import b as numbers, c

_LOCAL = const(4)
OWN = 1 << 5


class Thing:
    def show(self, TAKEN=3):
        self.SHARED = 9
        return self.SHARED, numbers.FIRST, -numbers.SECOND, 2 - LESS, TAKEN + c.TAKEN


def changed():
    global SET_TWICE
    SET_TWICE += 1
    return SET_TWICE


print(SHARED, [SHARED for _ in range(2)], {SHARED: OWN}, Thing().show(), WORD, _LOCAL, changed(), numbers.mixed())
print(HANDED_ON)
""",
    "firmware/d.py": "from firmware.c import TAKEN as HANDED_ON, OTHER\n",
    "firmware/b.py": """
from micropython import const

SHARED = const(5)
FIRST, SECOND = range(2)
MINUS = -3
WORD, NUMBER = "word", 8
SET_TWICE = 1
HALF = 0.5
ON = True


def mixed():
    return NUMBER, HALF, ON, SECOND
""",
    "firmware/c.py": "TAKEN = 7\nOTHER = 8\n",
}


def test_numbers_stand_in_for_constants_and_say_the_same():
    names = shorten.Map(NUMBERS)
    short = {path: names.shorten(text, path) for path, text in NUMBERS.items()}

    def said(sources, modules):
        package = types.ModuleType("firmware")
        sys.modules["firmware"] = package
        for path in ("b", "c", "d"):
            name = modules.get("firmware." + path, "firmware." + path)
            module = sys.modules[name] = types.ModuleType(name)
            setattr(package, name.rpartition(".")[2], module)
            module.const = const
            exec(compile(sources[f"firmware/{path}.py"], path, "exec"), module.__dict__)
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            exec(compile(sources["firmware/a.py"], "a", "exec"), {"__name__": "a", "const": const})
        return out.getvalue()

    loaded = dict(sys.modules)
    try:
        assert said(short, names.modules) == said(NUMBERS, {})
    finally:
        sys.modules.clear()
        sys.modules.update(loaded)
    text = "".join(short.values())
    assert "print(5, [5 for" in text
    assert not any(gone in text for gone in ("FIRST", "SECOND", "MINUS", "HANDED_ON", "OTHER", "OWN"))


def test_all_that_one_module_asks_of_another_is_there():
    """In the packed program: each name that is imported from a module of ours, and each that is asked of one."""
    names, sources = pack.names(), program()
    trees = {names.path(path): ast.parse(names.shorten(text, path)) for path, text in sources.items()}
    has = {path.removesuffix(".py").removesuffix("/__init__").replace("/", "."): set(shorten._set_in(tree)) | {
        node.name for node in tree.body if isinstance(node, (ast.FunctionDef, ast.ClassDef))}
        for path, tree in trees.items()}
    asked = 0
    for path, tree in trees.items():
        spaces = {}
        for node in ast.walk(tree):
            for alias in node.names if isinstance(node, (ast.Import, ast.ImportFrom)) else ():
                full = f"{node.module}.{alias.name}" if isinstance(node, ast.ImportFrom) else alias.name
                if full in has:
                    spaces[alias.asname or alias.name] = full
                elif getattr(node, "module", "") in has:
                    assert alias.name in has[node.module], (path, full)
                    asked += 1
        stored = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)}
        stored |= {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and getattr(node.value, "id", "") in set(spaces) - stored:
                assert node.attr in has[spaces[node.value.id]], (path, spaces[node.value.id], node.attr)
                asked += 1
    assert asked > 500


def program():
    return {name: path.read_text(encoding="utf-8") for name, path in pack.modules(pack.boards.load("pico_tft")).items()
            if path.suffix == ".py"}


def test_no_two_names_of_a_module_become_one():
    names = pack.names()
    assert len(set(names.names.values())) == len(names.names)
    for path, text in program().items():
        tree = names._parsed("from micropython import const\n" + text, path)  # which goes
        names._share(tree)
        before = {name for _node, _field, name in shorten._identifiers(tree)}
        after = {name for _node, _field, name in shorten._identifiers(without_modules(names.shorten(text, path)))}
        assert len(before) == len(after), path


def without_modules(text):
    """A tree without the names of modules: those that an import asks for, not those that it gives."""
    tree = ast.parse("from micropython import const\n" + text)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.asname:
                    alias.name = "a.module"
    return tree


def test_no_two_modules_become_one_and_all_that_names_them_is_renamed():
    names, sources = pack.names(), program()
    short = {path: names.shorten(text, path) for path, text in sources.items()}
    assert len(set(names.modules.values())) == len(names.modules) > 140
    files = {names.path(path) for path in sources}
    assert len(files) == len(sources) and {"firmware/main.py", "hal/disk.py", "boards/pico_tft.py"} <= files
    wireless = {names.path(name) for name in pack.modules(pack.boards.load("s3_tft")) if pack.is_wireless(name)}
    for path, text in short.items():
        for node in ast.walk(ast.parse(text)):
            wanted = []
            if isinstance(node, ast.Import):
                wanted = [f"{alias.name}.py" for alias in node.names if alias.asname]
            elif isinstance(node, ast.ImportFrom):
                full = node.module.replace(".", "/") + ".py"
                assert not node.module.startswith("firmware.") or pack.is_wireless(full), (path, node.module)
                wanted = [node.module + ".py"] if node.module in names.modules.values() else []
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert not node.value.startswith("firmware.") or node.value == "firmware.", (path, node.value)
            assert set(wanted) <= files | wireless, (path, wanted)  # asked for on boards with Wi-Fi alone


def test_the_table_of_pages_leads_to_the_renamed_modules():
    names = pack.names()
    path = "firmware/ui/pages/table.py"
    scope = {}
    exec(names.shorten((pack.ROOT / path).read_text(), path), scope)
    find = scope[{**names.names, **names.own[path]}.get("find", "find")]
    for line in table._PAGES.strip().splitlines():
        name = line.split()[0]
        module, machine = table.find(name)
        if pack.is_wireless(module.replace(".", "/") + ".py"):  # no board with short names has that page
            continue
        assert find(name) == (names.modules[module], machine), name


def test_strings_keywords_and_the_chips_own_stay():
    names = pack.names()
    renamed = set(names.names).union(*names.own.values())
    for path, text in program().items():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.keyword):
                assert node.arg not in renamed, (path, node.arg)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert node.value not in renamed, (path, node.value)
    assert not renamed & {"write", "value", "irq", "pull", "mov", "wrap_target", "append", "readinto", "run", "DMA"}


def test_pairs_that_are_assigned_at_once_take_no_heap(tmp_path):
    """MicroPython makes no tuple for `a, b = c, d`, but it does for `a, b = (c, d)`, in each step of the loop."""
    text = """
def turned_round(first, second):
    \"\"\"Both "é", in two
    lines.\"\"\"
    first, second = second, first + ord("é")  # one, two
    text, pair = "é", (first, (second))
    return first
"""
    short = pack.names().shorten(text, "")
    script = tmp_path / "probe.py"
    script.write_text(f"""{short}
import gc
before = gc.mem_alloc()
for n in range(1000):
    turned_round(n, 7)
print((gc.mem_alloc() - before) // 1000, turned_round(1, 7))
""")
    words = 4  # of a tuple of two on the 64-bit VM: the one that is asked for
    assert runner.run(script).split() == [str(words * 8), "7"]


def test_a_line_more_sends_one_file_and_a_new_name_few():
    sources = program()
    before = shorten.Map(sources)
    packed = {path: before.shorten(text, path) for path, text in sources.items()}

    def changed(path, text):
        other = {**sources, path: text}
        names = shorten.Map(other)
        return [name for name in other if names.shorten(other[name], name) != packed[name]]

    path = "firmware/ui/pages/looks/looks.py"
    assert changed(path, sources[path] + "\nif 0:\n    print(2)\n") == [path]
    assert len(changed(path, sources[path] + "\n\ndef brand_new_thing():\n    return 2\n")) < len(sources) // 4


def test_a_fault_of_a_small_board_is_told_by_its_real_name():
    names = pack.names()
    own, everywhere = names.own["firmware/ui/pages/light/light.py"], names.names
    module = "firmware.ui.pages.light.light"
    for name in (next(iter(own)), "can_undo"):
        short = own.get(name) or everywhere[name]
        line = f'File "{names.modules[module]}", line 1, in {short}'
        assert faults.text((3600, "Crashed", line)).endswith(f'(File "{module}", line 1, in {name})')
    for line in ('File "boards", line 3, in load', f'File "{module}", line 12, in load',
                 'File "main.py", line 1, in load'):
        assert faults.text((1, "Crashed", line)).endswith(f"({line})")


def test_no_compiled_module_asks_for_const():
    """Nobody imports it on a small board: what the compiler cannot work out would fail there, when it is run."""
    built = pack.build(pack.boards.load("pico_tft"), "armv6m")
    asked = [path for path, data in built.items() if path.endswith(".mpy") and b"const" in words._Module(data).names]
    assert not asked


@pytest.mark.parametrize("vm", ["unix", "wasm"])
def test_no_module_has_the_name_of_one_of_micropythons(vm, tmp_path):
    (tmp_path / "names.txt").write_text("\n".join(["array", "usys", *sorted(pack.names().modules.values())]))
    script = tmp_path / "probe.py"
    script.write_text("""
import sys
sys.path[:] = [sys.path[0] + "/none"]  # not where our own modules lie
for name in open(sys.argv[1]).read().split():
    try:
        __import__(name)
        print(name)
    except ImportError:
        pass
""")
    args = (script, tmp_path / "names.txt")
    said = runner.run(*args) if vm == "unix" else runner.run_wasm(*args)
    assert said.split()[:2] == ["array", "usys"] and said.split()[2:] in ([], ["heap", said.split()[-1]])


@pytest.mark.parametrize("vm", ["unix", "wasm"])
def test_names_of_rom_cost_nothing(vm, tmp_path):
    """Asked of the machine: it interns no new string for them, but does for another."""
    (tmp_path / "names.txt").write_text("\n".join(["warm", *ROM, "zqxj"]))
    script = tmp_path / "probe.py"
    script.write_text("""
import micropython, sys
for name in open(sys.argv[1]).read().split():
    exec("lambda x: x." + name)
    micropython.qstr_info()
""")
    args = (script, tmp_path / "names.txt")
    said = runner.run(*args, heap="4m") if vm == "unix" else runner.run_wasm(*args)
    counts = [int(line.split("n_qstr=")[1].split(",")[0]) for line in said.splitlines() if "n_qstr=" in line]
    assert len(counts) == len(ROM) + 2
    costly = [name for name, before, after in zip(ROM, counts, counts[1:]) if after > before]
    assert costly == []
    assert counts[-1] == counts[-2] + 1
