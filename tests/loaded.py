"""Which modules of the firmware are loaded, and whether any code outlives the module that it came from."""

import contextlib
import functools
import gc
import json
import subprocess
import sys
import types

from firmware import parts
from tests.vm.runner import ROOT

_BOOT = "import json, sim, sys; sim.Bench(show=None); print(json.dumps(sorted(sys.modules)))"


def names():
    """The modules of the firmware that are loaded: set of dotted names."""
    return {name for name in sys.modules if name.startswith("firmware")}


@functools.lru_cache(maxsize=1)
def after_boot():
    """The modules of the firmware that are loaded once a device has started in a new process."""
    done = subprocess.run([sys.executable, "-c", _BOOT], cwd=ROOT, capture_output=True, text=True, check=True)
    return {name for name in json.loads(done.stdout) if name.startswith("firmware")}


@contextlib.contextmanager
def as_after_boot():
    """Only what a started device needs is loaded; the tests' imports of all else are put back at the end. Yields the
    globals of modules that were hidden so or dropped before, for `outlived`."""
    hidden, parts_open = {name: sys.modules[name] for name in names() - after_boot()}, parts._open[:]
    del parts._open[:]  # those of devices of other tests
    for name in hidden:
        _forget(name)
    try:
        yield [f.__globals__ for f in _functions() if not _current(f)]
    finally:
        parts._open[:] = parts_open
        for name in names() - after_boot():
            _forget(name)
        for name, module in sorted(hidden.items()):
            sys.modules[name] = module
            setattr(sys.modules[name.rpartition(".")[0]], name.rpartition(".")[2], module)


def _forget(name):
    """Take a module out of sys.modules and out of its package."""
    del sys.modules[name]
    package, _, last = name.rpartition(".")
    if hasattr(sys.modules.get(package), last):
        delattr(sys.modules[package], last)


def strays():
    """What loaded modules of the firmware hold of modules that are not loaded, or of a second copy of one: list of
    "holder.name". Every function, class and module that a module knows must be that of the module in sys.modules."""
    return [f"{name}.{key}" for name in sorted(names()) for key, value in vars(sys.modules[name]).items()
            if not _at_home(value)]


def _at_home(value):
    if isinstance(value, types.ModuleType):
        return not value.__name__.startswith("firmware") or sys.modules.get(value.__name__) is value
    if isinstance(value, types.FunctionType):
        return _current(value)
    if isinstance(value, type) and value.__module__.startswith("firmware"):
        return all(_current(verb) for kind in value.__mro__ for verb in vars(kind).values()
                   if isinstance(verb, types.FunctionType))
    return True


def _current(function):
    """True for a function of a loaded module, and for one that is not the firmware's."""
    name = function.__globals__.get("__name__", "")
    return not name.startswith("firmware") or vars(sys.modules.get(name, types)) is function.__globals__


def outlived(known, since=False):
    """Functions of the firmware that are still held though their module was dropped: sorted list of names. known: what
    as_after_boot gave; since: only of those that came after it, which is quick."""
    known = {id(one) for one in known}
    return sorted({f"{f.__globals__['__name__']}.{f.__qualname__}" for f in _functions(not since)
                   if id(f.__globals__) not in known and not _current(f)})


def _functions(thaw=True):
    """All functions that are held; those there are now are frozen, so that the next look at all else is quick."""
    if thaw:
        gc.unfreeze()
    gc.collect()
    found = [one for one in gc.get_objects() if type(one) is types.FunctionType]
    if thaw:
        gc.freeze()
    return found
