"""MicroPython's `micropython` module for CPython: const is the value; native code does not exist here.

`native` and `viper` raise, so that a module written in them falls back to its plain twin, just as on a
port without a native code emitter. The pointer types of viper are names there, so that its signatures can be read.
"""

import builtins

builtins.ptr8 = builtins.ptr16 = builtins.ptr32 = int


def const(value):
    """The value itself: MicroPython folds it at compile time."""
    return value


def native(_function):
    raise SyntaxError("no native code emitter on the desktop")


viper = native


def heap_lock():
    """No heap to lock on the desktop; returns nothing, as the VM's does."""


def heap_unlock():
    """Undo heap_lock: always 0 locks left here."""
    return 0


def mem_info(_verbose=False):
    """Nothing to print on the desktop."""
