"""Checks of firmware/parts.py, run by tests/test_parts.py on each machine with a folder to write modules in.

The modules are those of FILES, in a package whose name parts.py takes for one of ours. Each check prints its name.
"""

import os
import sys

sys.path.insert(0, ".")
from firmware.parts import Part, once  # noqa: E402

PACKAGE = "firmware_probe"
FILES = {
    "shared": "VALUE = 7\n",
    "one": "from firmware_probe import shared\n\n\ndef add(n, more=0):\n    return shared.VALUE + n + more\n\n\n"
           "def fail(error):\n    from firmware_probe import late  # noqa: F401\n\n    raise error('on purpose')\n",
    "two": "from firmware_probe import shared\n\n\nclass Thing:\n    def __init__(self, value):\n"
           "        self.value = shared.VALUE + value\n",
    "late": "",
    "half": "from firmware_probe import shared\n\nraise ValueError('half way')\n",
    "tools": "def three():\n    return 3\n",
    "user": "from firmware_probe.tools import three\n\n\ndef use():\n    return three()\n",
    "keeper2": "from firmware.parts import Part  # noqa: F401\n",
    "keeper": "from firmware.parts import Part\n\n\ndef keep():\n    return Part('firmware_probe.two')\n",
}


def loaded():
    """The probe's modules that are loaded, sorted."""
    return sorted([name[len(PACKAGE) + 1:] for name in sys.modules if name.startswith(PACKAGE + ".")])


def refused(verb, *args):
    """The words of the ValueError or MemoryError that verb(*args) raises."""
    try:
        verb(*args)
    except (ValueError, MemoryError) as e:
        return str(e)
    return ""


def check_once_drops_what_it_loaded():
    assert once("firmware_probe.one", "add", 1, more=2) == 10
    assert loaded() == []
    assert not hasattr(sys.modules[PACKAGE], "one") and not hasattr(sys.modules[PACKAGE], "shared")


def check_once_leaves_what_was_there():
    part = Part("firmware_probe.shared")
    assert once("firmware_probe.one", "add", 1) == 8
    assert loaded() == ["shared"] and sys.modules["firmware_probe.shared"] is part.module
    part.close()


def check_once_drops_when_the_verb_raises():
    for error in (ValueError, MemoryError):
        assert refused(once, "firmware_probe.one", "fail", error) == "on purpose"
        assert loaded() == []


def check_once_drops_when_the_import_raises():
    assert refused(once, "firmware_probe.half", "add") == "half way"
    assert loaded() == []


def check_a_part_stays_until_it_is_closed():
    part = Part("firmware_probe.two")
    assert part.make("Thing", 3).value == 10 and loaded() == ["shared", "two"]
    part.close()
    assert part.module is None and loaded() == []


def check_nested_parts():
    outer = Part("firmware_probe.one")
    inner = Part("firmware_probe.two")
    assert inner.module.shared is outer.module.shared
    inner.close()
    assert loaded() == ["one", "shared"]
    again = Part("firmware_probe.two")
    assert again.module.shared is outer.module.shared
    again.close()
    outer.close()
    assert loaded() == []


def check_an_import_that_raises_half_way_leaves_nothing():
    assert refused(Part, "firmware_probe.half") == "half way"
    assert loaded() == []
    part = Part("firmware_probe.two")  # and no part that owns what the next one brings in
    assert loaded() == ["shared", "two"]
    part.close()
    assert loaded() == []


def check_a_make_that_raises_closes():
    part = Part("firmware_probe.one")
    assert refused(part.make, "fail", MemoryError) == "on purpose"
    assert part.module is None and loaded() == ["late"]  # loaded by the verb, not by the part's import
    del sys.modules["firmware_probe.late"]


def check_two_parts_of_one_module_hand_over():
    first, second = Part("firmware_probe.two"), Part("firmware_probe.two")
    assert second.module is first.module
    first.close()
    assert loaded() == ["shared", "two"] and second.make("Thing", 1).value == 8
    second.close()
    assert loaded() == []


def check_a_part_opened_later_takes_over_what_it_uses():
    first, second = Part("firmware_probe.two"), Part("firmware_probe.one")
    first.close()
    assert loaded() == ["one", "shared"] and second.module.shared is sys.modules[PACKAGE + ".shared"]
    second.close()
    assert loaded() == []


def check_a_function_is_a_use_too():
    first, second = Part("firmware_probe.tools"), Part("firmware_probe.user")
    first.close()
    assert loaded() == ["tools", "user"] and second.make("use") == 3
    second.close()
    assert loaded() == []


def check_what_both_have_from_a_third_is_no_use():
    first, second = Part("firmware_probe.keeper"), Part("firmware_probe.keeper2")
    first.close()
    assert loaded() == ["keeper2"]
    second.close()
    assert loaded() == []


def check_closing_twice_is_harmless():
    part = Part("firmware_probe.two")
    part.close()
    other = Part("firmware_probe.two")
    part.close()
    assert loaded() == ["shared", "two"]
    other.close()
    other.close()
    assert loaded() == []


def check_a_part_opened_inside_a_once_keeps_its_modules():
    part = once("firmware_probe.keeper", "keep")
    assert loaded() == ["shared", "two"] and part.make("Thing", 0).value == 7
    part.close()
    assert loaded() == []


def main(folder):
    """Write the modules, and do all checks."""
    sys.path.insert(0, folder)
    os.mkdir(folder + "/" + PACKAGE)
    for name in FILES:
        with open("%s/%s/%s.py" % (folder, PACKAGE, name), "w") as file:
            file.write(FILES[name])
    __import__(PACKAGE)  # loaded by no part, so it stays
    for name, check in sorted(globals().items()):
        if name.startswith("check_"):
            check()
            print("ok", name)


main(sys.argv[1])
