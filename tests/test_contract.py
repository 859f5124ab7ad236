"""Every class that stands in for a part of a board has what hal/contract.py asks: names, arguments, defaults.

The chips' modules import `machine`, so all are read as source, not imported. A new part: one line in PARTS.
"""

import ast
import pathlib

import pytest

ROOT = pathlib.Path(__file__).parent.parent
PARTS = {
    "Clock": ("hal/board_parts.py:Clock", "sim/hands.py:Clock"),
    "Line": ("hal/rp2/line.py:Line", "hal/line_uart.py:Line", "sim/line.py:Line", "sim/vm.py:Line",
             "sim/vm_link.py:LinkLine"),
    "Rdm": ("hal/rp2/rdm.py:Rdm", "sim/rdm_port.py:Rdm"),
    "Answers": ("hal/rp2/rdm_in.py:Answers", "sim/rdm_port.py:Answers"),
    "Radio": ("hal/esp32/radio.py:Radio", "hal/rp2/radio.py:Radio", "sim/radio.py:Radio"),
    "Panel": ("hal/panels/st7789.py:ST7789", "hal/panels/ssd1306.py:SSD1306", "hal/panels/sh1106.py:SH1106",
              "sim/vm.py:Panel", "sim/vm_link.py:LinkPanel"),
    "Knob": ("hal/rp2/knob.py:Knob", "hal/esp32/knob.py:Knob", "sim/hands.py:Knob"),
    "Keys": ("hal/board_parts.py:Keys", "sim/hands.py:Keys"),
    "Buzzer": ("hal/board_parts.py:Buzzer", "sim/hands.py:Buzzer", "sim/vm_link.py:LinkBuzzer"),
    "Power": ("hal/board_parts.py:Power", "sim/hands.py:Power"),
    "Disk": ("hal/disk.py:Disk", "sim/disk.py:MemoryDisk", "sim/disk.py:FolderDisk", "sim/flash.py:LittleDisk"),
    "Board": ("hal/make.py:assemble", "sim/hands.py:Board"),
}


def tree(path):
    return ast.parse((ROOT / path).read_text())


def top(module, name):
    return next((n for n in module.body if isinstance(n, ast.ClassDef | ast.FunctionDef) and n.name == name), None)


def methods(node):
    return {n.name: n for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")}


def family(module, node):
    """The class and its parents, as far as the house has them."""
    yield module, node
    for base in node.bases:
        origin = next((n.module for n in module.body if isinstance(n, ast.ImportFrom)
                       and base.id in [a.name for a in n.names]), None)
        parent = tree(origin.replace(".", "/") + ".py") if origin else module
        yield from family(parent, top(parent, base.id))


def signature(function):
    """((argument, default or ""), ...) without self."""
    arguments = [a.arg for a in function.args.args][1:]
    defaults = [ast.unparse(d) for d in function.args.defaults]
    return list(zip(arguments, [""] * (len(arguments) - len(defaults)) + defaults, strict=True))


def attributes(node):
    """Names that instances have without being called: class variables, properties, and what is set on
    `self` (or, in a function, on the object it returns)."""
    found = {n.id for n in ast.walk(node) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)} \
        if isinstance(node, ast.ClassDef) else set()
    found |= {n.attr for n in ast.walk(node) if isinstance(n, ast.Attribute) and isinstance(n.ctx, ast.Store)}
    return found | {n.name for n in ast.walk(node) if isinstance(n, ast.FunctionDef) and n.decorator_list}


def same(wanted, given):
    """Problems of a method's arguments: extra ones need a default; a default may be the table's name for it."""
    wanted, given = signature(wanted), signature(given)
    if [name for name, _ in given[: len(wanted)]] != [name for name, _ in wanted]:
        return f"takes {[n for n, _ in given]}, not {[n for n, _ in wanted]}"
    if any(not default for _, default in given[len(wanted):]):
        return "asks for more arguments"
    wrong = [n for (n, a), (_, b) in zip(wanted, given, strict=False) if bool(a) != bool(b) or value(a) != value(b)]
    return f"has another default for {wrong}" if wrong else ""


def value(default):
    from firmware.wire import dmx

    named = default.removeprefix("dmx.")
    return getattr(dmx, named) if named.isidentifier() and hasattr(dmx, named) else ast.literal_eval(default or "None")


def missing(contract, place):
    """Everything a class lacks of a class of the contract: list of sentences."""
    path, name = place.split(":")
    module = tree(path)
    node = top(module, name)
    if node is None:
        return [f"{path} has no {name}"]
    parts = list(family(module, node)) if isinstance(node, ast.ClassDef) else [(module, node)]
    have = {}
    for _, part in reversed(parts):
        if isinstance(part, ast.ClassDef):
            have |= methods(part)
    wrong = [f"no {m}()" for m in methods(contract) if m not in have]
    wrong += [f"{m}() {problem}" for m, wanted in methods(contract).items() if m in have
              for problem in [same(wanted, have[m])] if problem]
    owned = set().union(*(attributes(part) for _, part in parts))
    asked = [n.target.id for n in contract.body if isinstance(n, ast.AnnAssign)]
    return wrong + [f"no attribute {a}" for a in asked if a not in owned]


CASES = [(part, place) for part, places in PARTS.items() for place in places]


@pytest.mark.parametrize("part, place", CASES, ids=[place for _, place in CASES])
def test_has_what_the_contract_asks(part, place):
    assert missing(top(tree("hal/contract.py"), part), place) == []


def test_every_part_of_the_contract_is_in_the_table():
    assert {n.name for n in tree("hal/contract.py").body if isinstance(n, ast.ClassDef)} == set(PARTS)


def test_the_check_can_fail():
    """A knob is no panel, and a line with other defaults is no line."""
    contract = tree("hal/contract.py")
    assert "no show()" in missing(top(contract, "Panel"), "sim/hands.py:Knob")
    other = ast.parse("class Line:\n def timing(self, hz=1, break_us=128, mark_us=16): 0")
    assert "default for ['hz']" in same(methods(top(contract, "Line"))["timing"], methods(top(other, "Line"))["timing"])


def timings():
    """(path, `timing` of a class) of every file of hal/ and sim/."""
    for path in sorted((*ROOT.glob("hal/**/*.py"), *ROOT.glob("sim/**/*.py"))):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef) and node.name == "timing":
                yield path.relative_to(ROOT).as_posix(), node


def test_every_timing_has_the_defaults_of_the_contract():
    """And these are what firmware/wire/dmx.py sends: break and mark after break, ANSI E1.11."""
    from firmware.wire import dmx

    found = dict(timings())
    wanted = found.pop("hal/contract.py")
    assert [value(default) for _, default in signature(wanted)] == [0, dmx.BREAK_US, dmx.MARK_US]
    assert {"hal/rp2/line.py", "hal/line_uart.py", "sim/line.py", "sim/vm.py"} <= set(found)
    assert {path: same(wanted, given) for path, given in found.items()} == dict.fromkeys(found, "")


def test_another_break_is_seen():
    other = ast.parse("class Line:\n def timing(self, hz=0, break_us=176, mark_us=16): 0")
    wanted = methods(top(tree("hal/contract.py"), "Line"))["timing"]
    assert same(wanted, methods(top(other, "Line"))["timing"]) == "has another default for ['break_us']"


def test_the_vms_line_has_the_numbers_of_the_standard():
    from firmware.wire import dmx
    from sim import vm

    assert (vm.SLOTS_MAX, vm.BREAK_US, vm.MARK_US) == (dmx.SLOTS_MAX, dmx.BREAK_US, dmx.MARK_US)
