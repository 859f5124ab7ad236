"""How many bytes what a device keeps takes on CPython, to see leaks: the same state must weigh the same again.

The objects' own sizes are added, of all that the app and the modules of the firmware lead to. Lists, dicts and sets
have room to spare that depends on what they held before, so of these only what is in them is counted, a word an item.
"""

import gc
import sys
import types

_WORD = 8
_OBJECT = 64  # beside what it holds
_NOT = (types.FunctionType, types.ModuleType, types.BuiltinFunctionType, types.CodeType, types.MethodDescriptorType)


def weigh(app):
    """Bytes."""
    board = app.board
    seen = {id(part) for part in (board, *vars(board).values(), *board.lines, sys.modules)}
    todo, total = [app], 0
    for name in sorted(sys.modules):
        if name.startswith("firmware"):
            todo += [value for key, value in vars(sys.modules[name]).items() if not key.startswith("__")]
    while todo:
        one = todo.pop()
        if id(one) in seen or isinstance(one, _NOT):
            continue
        seen.add(id(one))
        if isinstance(one, type):
            continue
        total += _size(one)
        todo += gc.get_referents(one)
    return total


def _size(one):
    """Whole numbers count for nothing: CPython keeps some of them apart, and the chips none."""
    if isinstance(one, list | dict | set):
        return _WORD * len(one)
    return 0 if isinstance(one, int) else _OBJECT if hasattr(one, "__dict__") else sys.getsizeof(one)
