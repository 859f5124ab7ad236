"""What a board's drivers take of the heap, code and buffers: on the 32-bit VM, whose words are the chips'."""

import shutil

import pytest

import boards
from tests.bench import size
from tests.vm import runner

# Measured 38,944 and 25,200; 512 of them are the table of names, which grows in steps.
MOST = {"pico_tft": 39_000, "pico_oled": 25_300}


@pytest.mark.parametrize("name", MOST)
def test_drivers_stay_small(name):
    if shutil.which("node") is None or not runner.WASM.exists():
        pytest.skip("the 32-bit MicroPython VM is not installed (make test fetches it through npm)")
    assert size.drivers(boards.load(name)) <= MOST[name]
