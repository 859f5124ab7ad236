"""The changes that tests are tried with: each gives another program that can be parsed, and is done where it says."""

import ast
import random

from tests.mutants import __main__ as run
from tests.mutants import areas, change

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
