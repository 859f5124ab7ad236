"""Which tests a change to a module is to be noticed by: files that name it first, then those of its area."""

import collections
import functools
import pathlib
import re

ROOT = pathlib.Path(__file__).parent.parent.parent
SOURCES = ("firmware", "hal", "host")
# The longest beginning of a path that fits counts.
AREAS = {
    "firmware/light": ("tests/light",),
    "firmware/light/effects": ("tests/day",),
    "firmware/wire": ("tests/wire", "tests/feed"),
    "firmware/show": ("tests/show", "tests/keep"),
    "firmware/stage": ("tests/stage", "tests/keep"),
    "firmware/stage/effects": ("tests/day",),
    "firmware/stage/running": ("tests/day",),
    "firmware/stage/look_ahead": ("tests/day",),
    "firmware/stage/flash": ("tests/day",),
    "firmware/stage/feed": ("tests/feed",),
    "firmware/stage/capture": ("tests/feed",),
    "firmware/ui": ("tests/screens", "tests/ui", "tests/panels"),
    "firmware/ui/pages/feed": ("tests/feed", "tests/screens"),
    "firmware/ui/pages/run": ("tests/day", "tests/screens"),
    "firmware/ui/pages/effects": ("tests/day", "tests/screens"),
    "firmware/ui/pages/meter": ("tests/day", "tests/screens"),
    "firmware/ui/pages/slate": ("tests/day", "tests/screens"),
    "firmware/ui/pages/rig/rdm": ("tests/rdm", "tests/screens"),
    "firmware/ui/pages/settings/network": ("tests/network", "tests/screens"),
    "firmware/stage/rdm": ("tests/rdm",),
    "firmware/wire/rdm": ("tests/rdm",),
    "firmware/wire/e131": ("tests/network",),
    "firmware/feed_network": ("tests/network",),
    "firmware/network": ("tests/network",),
    "firmware/battery": ("tests/day",),
    "firmware": ("tests/test_time.py", "tests/ui", "tests/keep", "tests/day"),
    "firmware/first_light": ("tests/keep", "tests/test_first_light.py"),
    "hal": ("tests/wire", "tests/test_contract.py"),
    "hal/panels": ("tests/panels",),
    "hal/rp2/rdm": ("tests/rdm",),
    "hal/esp32/radio": ("tests/network",),
    "hal/archive": ("tests/host",),
    "host": ("tests/host",),
}
# Too slow, or about the code's form: they would not tell about a change.
_NEVER = ("tests/keep/test_powercut.py", "tests/boards/test_carrier.py", "tests/wire/test_heap.py", "tests/vm/",
          "tests/page/", "tests/chip/", "tests/soak/", "tests/mutants/",
          "tests/test_house.py", "tests/bench/", "tests/host/test_flash.py", "tests/host/test_backup.py",
          "tests/ui/test_walker.py")
_MOST = 7  # files


def modules():
    """Every source that may be changed: paths from the root. Twins in machine code run on no desktop, and fonts and
    what only a chip can import are no logic that a test here sees."""
    found = [path.relative_to(ROOT).as_posix() for top in SOURCES for path in sorted((ROOT / top).rglob("*.py"))]
    return [path for path in found if "_viper" not in path and "/fonts/" not in path and "contract" not in path
            and not path.endswith(("__init__.py", "hal/esp32/make.py", "hal/rp2/make.py"))]


@functools.cache
def test_files():
    """All test files that may be run for a change."""
    found = [file.relative_to(ROOT).as_posix() for file in sorted((ROOT / "tests").rglob("test_*.py"))]
    return [name for name in found if not name.startswith(_NEVER)]


@functools.cache
def tests_of(path):
    """The test files for a module: those that name it first, then those that name who uses it, then its area's."""
    area = AREAS[max((begin for begin in AREAS if path.startswith(begin)), key=len)]
    used_by, first = users(path), pathlib.Path(path).stem.split("_")[0]
    scores = {}
    for name in test_files():
        score = _named(path, name) + 30 * (pathlib.Path(name).stem == "test_" + pathlib.Path(path).stem)
        score += 15 * _loads(path, name)
        score += 8 * (first in pathlib.Path(name).stem.split("_"))
        score += min(sum(_named(user, name) for user in used_by) / 2, 12)
        at = next((n for n, begin in enumerate(area) if name.startswith(begin)), None)
        if score or at is not None:
            scores[name] = score + (0 if at is None else 7 - 2 * at)
    return sorted(scores, key=lambda name: -scores[name])[:_MOST]


def users(path):
    """The modules that load one."""
    return [other for other in modules() if other != path and _loads(path, other)]


def _loads(path, name):
    """True for a file in which a module's full name stands, or "from its package import it"."""
    package, _, stem = path[:-3].replace("/", ".").rpartition(".")
    text, words = _text(name)
    return stem in words and bool(re.search(
        rf"\b{re.escape(package)}\.{stem}\b|from {re.escape(package)} import [^\n]*\b{stem}\b", text))


def _named(path, name):
    """How much a test file says of a module, 0..20: a word that nearly all of them have says little."""
    stem = pathlib.Path(path).stem
    return min(20, 10 * _text(name)[1][stem] / _files_with(stem)) if stem in _text(name)[1] else 0


@functools.cache
def _files_with(word):
    return sum(word in _text(name)[1] for name in test_files())


@functools.cache
def _text(name):
    text = (ROOT / name).read_text()
    return text, collections.Counter(re.findall(r"\w+", text))
