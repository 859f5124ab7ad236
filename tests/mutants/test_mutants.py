"""The changes that tests are tried with: each gives another program that can be parsed, and is done where it says. And
how they are tried: what is run, what counts as noticed, and that all is as before afterwards."""

import ast
import os
import random
import subprocess
import sys

import pytest

from tests.mutants import __main__ as run
from tests.mutants import areas, change, reach, tree

SOURCE = '''"""Says 1 < 2."""
import a
LOW = 3
def f(x, on):
    if not (on) and x < LOW:
        raise ValueError("no %d" % 4)
    g(x + 1)
    return x * 2
'''


def test_each_change_is_one_that_a_hand_would_make():
    made = {change.apply(SOURCE, one) for one in change.changes(SOURCE)}
    for old, new in (("LOW = 3", "LOW = 4"), ("not (on)", "(on)"), ("x < LOW", "x <= LOW"), ("(on) and x", "(on) or x"),
                     ("x + 1", "x - 1"), ("x + 1", "x + 2"), ("    g(x + 1)", "    pass"), ("x * 2", "x // 2"),
                     ("return x * 2", "return None"), ("x * 2", "x * 3")):
        assert SOURCE.replace(old, new) in made, (old, new)
    assert len(made) == 10
    assert all("Says 1 < 2" in text and '"no %d" % 4' in text for text in made)


def test_changes_of_the_program_can_be_parsed_and_differ():
    for path, one in random.Random(2).sample(run.sample(10_000, 1), 300):
        text = (areas.ROOT / path).read_text()
        new = change.apply(text, one)
        assert ast.dump(ast.parse(new)) != ast.dump(ast.parse(text)), (path, one)


def test_every_module_has_tests():
    assert len(areas.modules()) > 150
    for path in areas.modules():
        assert areas.tests_of(path), path
    assert areas.tests_of("firmware/stage/feed.py")[0] in ("tests/feed/test_feed.py", "tests/feed/test_bench.py")


def test_the_lines_of_a_statement():
    text = "A = [1,\n     2]\ndef f(x=3):\n    if x:\n        return (x +\n                1)\nclass B:\n    c = 4\n"
    assert change.lines_of(text, 2) == (range(1, 3), True)
    assert change.lines_of(text, 3) == (range(3, 4), True)  # what stands for an argument is made at the import
    assert change.lines_of(text, 4) == (range(4, 5), False)
    assert change.lines_of(text, 6) == (range(5, 7), False)
    assert change.lines_of(text, 8) == (range(8, 9), True)


def test_tests_of_a_line_are_the_quickest_first_and_all_where_several_share_it():
    tests = {"": [0, "passed", False, {"a.py": 1 << 3}], "slow": [2, "passed", False, {"a.py": 1 << 7}],
             "quick": [1, "passed", False, {"a.py": 1 << 7 | 1 << 8}], "other": [0, "passed", False, {"b.py": 1 << 7}]}
    assert reach.chosen(tests, "a.py", (7,)) == ["quick", "slow"]
    assert reach.chosen(tests, "a.py", (8, 9)) == ["quick"]
    assert reach.chosen(tests, "a.py", (7,), {"quick"}) == ["slow"]
    assert reach.chosen(tests, "a.py", (3,)) == ["other", "quick", "slow"]
    assert reach.chosen(tests, "a.py", (4,)) == []


def test_a_changed_source_is_put_back_with_its_time_and_what_was_compiled(tmp_path, monkeypatch):
    monkeypatch.setattr(tree, "ROOT", tmp_path)
    source, made = tmp_path / "a.py", tmp_path / "build/vm/a.mpy"
    made.parent.mkdir(parents=True)
    for file, words in ((source, "old"), (made, "of old")):
        file.write_text(words)
        os.utime(file, (1000, 1000))
    with pytest.raises(KeyError), tree.changed("a.py", "new"):
        assert source.read_text() == "new" and source.stat().st_mtime > 1000
        made.write_text("of new")
        (made.parent / "b.mpy").write_text("of new")
        raise KeyError
    assert [(file.read_text(), file.stat().st_mtime) for file in (source, made)] == [("old", 1000), ("of old", 1000)]
    assert not (made.parent / "b.mpy").exists()


_FILE = """
import time, pytest
import firmware
def test_a(): assert firmware.ONE == 1
def test_b(): assert firmware.ONE == 2
def test_c(): time.sleep(60)
@pytest.mark.parametrize("n", [firmware.ONE])
def test_d(n): pass
"""
_RUN = """
import sys
from tests.mutants import fork
fork.warm()
for names, limit in ((["a"], 60), (["b"], 60), (["a", "b"], 60), (["c"], 3), (["d[2]"], 60)):
    wanted = ["test_x.py::test_" + name for name in names]
    known = ["test_x.py::test_" + name for name in ("a", "b", "c", "d[2]")]
    print(*fork.run(sys.argv[1], fork.Chosen(wanted, known), ["test_x.py"], limit))
"""


def test_what_pytest_says_in_a_forked_process(tmp_path):
    """The tree's own program is imported, not this one. A test with another name, since the change gave it one, is run
    too; it would be no reason to call the change noticed."""
    (tmp_path / "firmware").mkdir()
    (tmp_path / "firmware/__init__.py").write_text("ONE = 1\n")
    (tmp_path / "test_x.py").write_text(_FILE)
    (tmp_path / "pyproject.toml").write_text("[tool.pytest.ini_options]\npythonpath = ['.']\n")
    said = subprocess.run([sys.executable, "-W", "ignore", "-c", _RUN, tmp_path], cwd=areas.ROOT, capture_output=True,
                          text=True, check=True).stdout.splitlines()
    assert said[0] == "0 ['', '', '']"
    assert said[1].startswith("1 ['call', 'test_x.py::test_b'")
    assert said[2].startswith("1 ['call', 'test_x.py::test_b'")
    assert said[3] == "None None"
    assert said[4] == "0 ['', '', '']"
    assert not list(tmp_path.rglob("__pycache__"))


def test_what_was_tried_is_known_to_the_next_run(tmp_path):
    path = tmp_path / "build/seed-1.jsonl"
    run.Book(path).add("a.py:1", {"what": "survived"})
    run.Book(path).add("a.py:1", {"what": "killed"})
    run.Book(path).add("b.py:1", {"what": "slow"})
    found = run.Book(path).found
    assert {name: entry["what"] for name, entry in found.items()} == {"a.py:1": "killed", "b.py:1": "slow"}
