"""Forgets a module whose code is needed only for a while: pages, the list of generic lamps, loading and saving.

Imported by every layer. Memory is the scarce thing on the device: what is dropped is collected once nobody uses it.
"""

import sys


def drop(name):
    """Forget a module by its full name; no error where it is not loaded. Who still holds a part of it keeps that."""
    if sys.modules.pop(name, None) is not None:
        package, dot, last = name.rpartition(".")
        if dot:  # the package holds its modules as attributes too
            delattr(sys.modules[package], last)


def late(module, name, owner, stays=True):
    """A verb of an object whose code is loaded when it is called: the function `name` of a module, with the owner as
    its first argument. For __getattr__. stays: whoever calls the last of them drops the module; else each call does."""
    def verb(*args, **options):
        try:
            return getattr(__import__(module, None, None, (name,)), name)(owner, *args, **options)
        finally:
            if not stays:
                drop(module)

    return verb
