"""Pytest in a forked process: what the tests import from others (numpy and so on) is loaded once, before; all that is
ours is imported in the child, from the copied tree, so that it is the changed program.
"""

import importlib
import json
import os
import select
import signal
import sys
import tempfile
import time

import pytest

_OURS = ("firmware", "hal", "host", "boards", "sim", "tests")
# What tests import of others and what takes long; one that is missing is one that a test skips without.
_OTHERS = ("hypothesis", "numpy", "colour", "scipy.optimize", "scipy.spatial", "scipy.interpolate", "PIL.Image",
           "aiohttp.web", "littlefs", "pioemu", "pygdtf", "unittest.mock", "xml.etree.ElementTree", "coverage", "sacn")
KILLED, LIVED, LATE = "killed", "survived", "slow"


def warm():
    """Import what all children share."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # a thread would not be there in a child
    for name in _OTHERS:
        try:
            importlib.import_module(name)
        except ImportError:
            pass
    assert not [name for name in sys.modules if name.split(".")[0] in _OURS and not name.startswith("tests")]


class Chosen:
    """A plugin: of what is collected, the named tests alone in the order of the names (None: all, as they come); a
    test that nobody knew stays. `told`: [words of how it ended, the test that failed, why]."""

    def __init__(self, wanted, known):
        self.wanted, self.known, self.told = wanted, known, ["", "", ""]

    def pytest_collection_modifyitems(self, config, items):
        """Choose and sort."""
        if self.wanted is None:
            return
        place = {name: n for n, name in enumerate(self.wanted)}
        items[:] = sorted((item for item in items if item.nodeid in place or item.nodeid not in self.known),
                          key=lambda item: place.get(item.nodeid, -1))

    def pytest_collectreport(self, report):
        """A file that cannot be imported."""
        if report.failed:
            self.told = ["collection", report.nodeid, str(report.longrepr)[-300:]]

    def pytest_runtest_logreport(self, report):
        """A test that fails."""
        if report.failed and not self.told[1]:
            self.told = [report.when, report.nodeid, str(report.longrepr)[-300:]]


def run(root, plugin, files, limit, write=False):
    """Run test files in a copy of the tree -> (exit code of pytest, None: not done in `limit` seconds; what the plugin
    has told). write: keep compiled modules, which children of an unchanged tree may."""
    with tempfile.NamedTemporaryFile() as told:
        pid = os.fork()
        if not pid:
            _child(root, plugin, files, told.name, write)
        code = _wait(pid, limit)
        text = told.read()
    return code, json.loads(text) if text else None


def _wait(pid, limit):
    handle = os.pidfd_open(pid)
    try:
        done, _w, _x = select.select([handle], [], [], limit)
        if not done:
            os.kill(pid, signal.SIGKILL)
        _pid, status = os.waitpid(pid, 0)
    finally:
        os.close(handle)
        try:
            os.killpg(pid, signal.SIGKILL)  # what it had started
        except ProcessLookupError:
            pass
    return os.waitstatus_to_exitcode(status) if done else None


def _child(root, plugin, files, told, write):
    code = 70
    try:
        os.setsid()
        null = os.open(os.devnull, os.O_RDWR)
        for n in range(3):
            os.dup2(null, n)
        os.chdir(root)
        for name in list(sys.modules):
            if name.split(".")[0] in _OURS:
                del sys.modules[name]
        sys.path[0] = str(root)
        sys.dont_write_bytecode = not write
        if not write:
            os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        from hypothesis import settings

        # The same examples each time; a busy machine is no fault.
        settings.register_profile("mutants", deadline=None, derandomize=True, database=None)
        settings.load_profile("mutants")
        code = int(pytest.main(["-x" if plugin.wanted is not None else "-q", "-q", "-p", "no:cacheprovider", "-p",
                                "no:xdist", "-p", "no:faulthandler", *files], plugins=[plugin]))
        with open(told, "w") as file:
            json.dump(plugin.told, file)
    finally:
        os._exit(code)


def seconds():
    """Now, for differences."""
    return time.monotonic()
