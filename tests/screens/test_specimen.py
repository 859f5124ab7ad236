"""The specimen sheets as kept."""

import pytest

from tests.screens import check
from tests.screens.specimen import SHEETS


@pytest.mark.parametrize("name", SHEETS)
def test_specimen(name):
    draw, *arguments = SHEETS[name]
    check(name, draw(*arguments))
