"""A short run of the fuzz targets from fixed seeds, and every input that once found a fault. The long run:
`python -m tests.fuzz`."""

import random

import pytest

from tests.fuzz import CORPUS, seeds, targets

TRIES = {"show_file": 40, "looks_log": 20, "state": 40, "gdtf_file": 60, "socket": 150}  # else 200


@pytest.mark.parametrize("target", targets.TARGETS, ids=lambda target: target.__name__)
def test_what_a_stranger_made_is_refused_in_words_or_taken(target):
    dice, good = random.Random(1), seeds.of(target)
    assert good
    for data in good:
        target(data)
    for _ in range(TRIES.get(target.__name__, 200)):
        target(seeds.changed(dice.choice(good), dice))


@pytest.mark.parametrize("path", sorted(CORPUS.glob("*/*")), ids=lambda path: f"{path.parent.name}-{path.name}")
def test_what_was_found_once_is_mended(path):
    getattr(targets, path.parent.name)(path.read_bytes())
