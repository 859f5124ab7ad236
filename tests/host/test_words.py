"""Short words as constants (host/words.py), with MicroPython's own loader and table of names as the judge."""

import subprocess

import pytest

from host import pack, words
from host.rom_names import ROM, RP2
from tests.vm import runner

_TELL = """
import micropython, sys
sys.path.insert(0, %r)
micropython.qstr_info()
import words_of
micropython.qstr_info()
words_of.run()
"""
_PAGE = '''
class Page:
    title = "Zq title"

    def rows(self, at, label="Zq default"):
        for k in range(at):
            if k & 1:
                yield "Zq odd", k
            elif k == 4:
                continue
            else:
                yield label, ("Zq a", "Zq b")[k % 2]
        try:
            yield {"Zq key": 1, "Zq two": 2}["Zq two"]
        finally:
            yield "Zq %d" % at

    def dial(self, colour=0):
        return "Zq dial", colour


def run():
    page = Page()
    print(page.title, list(page.rows(7)), page.dial(colour=3), page.rows(2, "Zq other").__class__)
    print(getattr(page, "dial")(), "Zq in" in ("Zq in", 1), "Zq " + "plus" == "Zq plus")
'''


def _run(made, folder):
    """What a compiled module prints when it runs, and how many names it has brought."""
    folder.mkdir()
    (folder / "words_of.mpy").write_bytes(made)
    done = subprocess.run([runner.unix(), "-c", _TELL % str(folder)], capture_output=True, text=True, check=True)
    first, second, *said = done.stdout.splitlines()
    count = [int(line.split("n_qstr=")[1].split(",")[0]) for line in (first, second)]
    return said, count[1] - count[0]


def _compiled(source, stay=None):
    plain = pack._mpy(source, "words_of", "words_of.py", ["-O3"])
    return plain if stay is None else words.as_constants(plain, stay)


def _both(source, tmp_path, stay=frozenset()):
    return _run(_compiled(source), tmp_path / "plain"), _run(_compiled(source, stay), tmp_path / "made")


def test_a_page_says_the_same_and_brings_fewer_names(tmp_path):
    stay = words.remaining({"words_of.py": _PAGE}, [])
    (said, names), (again, fewer) = _both(_PAGE, tmp_path, stay)
    assert said == again and "Zq title" in said[0] and "('Zq dial', 3)" in said[0]
    gone = {"Zq title", "Zq default", "Zq odd", "Zq key", "Zq two", "Zq %d", "Zq dial", "Zq other"}
    assert names - fewer >= len(gone)
    assert not [name for name in words._Module(_compiled(_PAGE, stay)).names if name and name.startswith(b"Zq")]


def test_more_words_than_a_short_operand_reaches(tmp_path):
    lines = [f'    if k > {n}:\n        out.append("Zq{n}")' for n in range(300)]
    source = "def run():\n  out = []\n  for k in (0, 7, 150, 299):\n" + "\n".join(lines) + "\n  print(out)\n"
    (said, names), (again, fewer) = _both(source, tmp_path)
    assert said == again and "'Zq298'" in said[0]
    assert 100 < names - fewer <= 300


def test_a_word_that_stays_is_a_name(tmp_path):
    source = 'def run():\n    print("Zq here", "Zq gone")\n'
    (_said, names), (_again, fewer) = _both(source, tmp_path, {"Zq here"})
    assert names - fewer == 1


def test_keywords_and_the_words_of_what_stays_loaded_remain():
    sources = {"firmware/app.py": "from firmware import used\nLIGHT = 'all day'\n", "firmware/used.py": "x = 'too'\n",
               "firmware/page.py": "f(colour=1)\ny = 'gone'\n"}
    found = words.remaining(sources, ["firmware.app"])
    assert {"all day", "too", "colour", "print"} <= found and "gone" not in found


@pytest.mark.parametrize("board", ["pico_tft", "pico_oled"])
def test_what_is_packed_is_read_to_its_last_byte(board):
    """Taken apart and put together again, each module is what it was: the format is understood to the end."""
    known = pack.boards.load(board)
    whole = machine = 0
    for path, data in pack.build(known, "armv6m").items():
        if path.endswith(".mpy"):
            module = words._Module(data)
            whole += module.readable and module.bytes(module.entries, module.constants) == data
            machine += not module.readable
    assert machine and whole + machine == len([path for path in pack.build(known, "armv6m") if path.endswith(".mpy")])


def test_machine_code_is_left_as_it_is():
    source = '@micropython.viper\ndef run():\n    return "Zq here"\n\ndef other():\n    return "Zq there"\n'
    plain = pack._mpy(source, "words_of", "words_of.py", ["-O3", "-march=armv6m"])
    assert words.as_constants(plain, ()) == plain


@pytest.mark.parametrize("data", [b"", b"M\x05\x00\x1f\x00\x00", b"#!/bin/sh\n"])
def test_another_format_is_refused(data):
    with pytest.raises(ValueError, match="not a .mpy of version 6"):
        words.as_constants(data, ())


@pytest.mark.parametrize("board", ["pico_tft", "pico_oled"])
def test_all_pages_of_a_day_fit_into_the_tables_of_names_that_a_start_makes(board):
    """MicroPython 1.28's tables have 20 places, 40, 80, 160, 320 and 640 (py/qstr.c, MICROPY_ALLOC_QSTR_ENTRIES_INIT of
    10); the next takes 8,960 bytes in one piece, which is not there once pages have come and gone. A module that is
    loaded brings the path of its file too. On the emulated RP2040 all pages together had 1,125 names."""
    built = pack.build(pack.boards.load(board), "armv6m")
    modules = [data for path, data in built.items() if path.endswith(".mpy")]
    found = {name.decode() for data in modules for name in words._Module(data).names if name is not None}
    made_at_run_time = 30  # by getattr, and of the letters that name parameters
    assert len(found - {*ROM, *RP2}) + len(modules) + made_at_run_time <= 20 + 40 + 80 + 160 + 320 + 640
