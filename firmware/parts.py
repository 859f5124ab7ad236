"""Code that is loaded for a while and then dropped: the only module that touches sys.modules. Every layer may import
it.

Memory is the scarce thing on the device, and most of it would be code. So what is needed now and then is loaded when it
is needed: for one call (`once`), or while a page is open or a machine runs (`Part`). Dropped code is collected as soon
as nobody holds a piece of it, so a function that stays must not come from such a module.

A part owns the modules that its import brought in, not those that were there before it. Where two parts work together,
the one that lasts longer is therefore opened first: the running order before the page that shows it. Where one that was
opened later lasts longer all the same, it takes over what it uses (parts_used.py).
"""

import sys

_OURS = ("firmware", "hal", "boards") if "." in __name__ else ""  # short names (host/shorten.py) have no folder
_open = []  # the parts that are open


def once(module, verb, *args, **options):
    """Load a module, call its function `verb`, and drop all that was loaded meanwhile. -> what the function returns."""
    before = set(sys.modules)
    try:
        return getattr(__import__(module, None, None, (verb,)), verb)(*args, **options)
    finally:
        _drop(_new(before))


class Part:
    """One module in use for a while. `module`: the module, None once the part is closed."""

    def __init__(self, name):
        """Errors: those of the import, MemoryError above all; then nothing stays loaded."""
        before = set(sys.modules)
        self.module = None
        try:
            self.module = __import__(name, None, None, ("*",))
        finally:
            self.owned = _new(before)
            if self.module is None:
                _drop(self.owned)
        _open.append(self)

    def make(self, verb, *args):
        """Call a class or function of the module -> what it returns. Where it raises, the part is closed."""
        made = False
        try:
            result = getattr(self.module, verb)(*args)
            made = True
        finally:
            if not made:
                self.close()
        return result

    def close(self):
        """Drop the modules that the part owns; another open part of the same module takes them over, and one that was
        opened later those that it uses."""
        if self.module is None:
            return
        later = _open[_open.index(self) + 1:]
        _open.remove(self)
        heirs = [part for part in _open if part.module is self.module]
        if heirs:
            heirs[0].owned += self.owned
        else:
            for part in later:
                self._leave(part)
            _drop(self.owned)
        self.module, self.owned = None, []

    def _leave(self, part):
        """Leave a part what it uses of this one's."""
        if self.owned and part.owned:
            used = once("firmware.parts_used", "used", sys.modules, self.owned, part.owned)
            part.owned += used
            self.owned = [name for name in self.owned if name not in used]


def _new(before):
    """Names of our modules that are loaded now, were not before, and belong to no open part."""
    return [name for name in sys.modules if name not in before and name.startswith(_OURS)
            and not any(name in part.owned for part in _open)]


def _drop(names):
    for name in names:
        if sys.modules.pop(name, None) is not None:
            package, _dot, last = name.rpartition(".")
            parent = sys.modules.get(package)  # a package holds its modules as attributes too
            if parent is not None and hasattr(parent, last):
                delattr(parent, last)
