"""The same on the real VMs as on CPython."""

import ast

import pytest

from tests.light import on_vm
from tests.vm import runner


def test_every_function_answers_the_same_on_the_vm():
    compare(runner.run("tests/light/on_vm.py", "."))


def test_and_on_the_one_with_the_chips_32_bit_words():
    compare(runner.run_wasm("tests/light/on_vm.py", "."))


def compare(printed):
    there = ast.literal_eval(printed.splitlines()[0])
    here = on_vm.results()
    assert len(there) == len(here)
    for (name, one), (_, two) in zip(there, here, strict=True):
        assert flat(one) == pytest.approx(flat(two), rel=1e-9, abs=1e-9) if numbers(one) else one == two, name


def numbers(value):
    return not isinstance(value, str) and all(isinstance(v, int | float) for v in flat(value))


def flat(value):
    if isinstance(value, list | tuple):
        return [part for item in value for part in flat(item)]
    return [value]
