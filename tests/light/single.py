"""Run firmware/light in single precision, as the chips do: `load("white")` is that very module, recompiled.

Every float literal, and the result of every operation and every function of `math`, is rounded to an IEEE 754
binary32 (numpy.float32), so each step rounds where a chip's float unit or soft-float library rounds. `counted`
says how many such operations a call takes.
"""

import ast
import builtins
import math
import pathlib
import types

import numpy as np

_FOLDER = pathlib.Path(__file__).parents[2] / "firmware" / "light"
_operations = [0]
_loaded = {}


def load(name):
    """firmware/light/NAME.py in single precision: a module."""
    if name not in _loaded:
        module = types.ModuleType("single_" + name)
        module.__dict__.update(_round=_round, _literal=np.float32)
        module.__builtins__ = {**vars(builtins), "__import__": _import}
        tree = _Rounded().visit(ast.parse((_FOLDER / (name + ".py")).read_text()))
        exec(compile(ast.fix_missing_locations(tree), name + ".py in single precision", "exec"), module.__dict__)
        _loaded[name] = module
    return _loaded[name]


def counted(call, *args):
    """How many float operations a call takes."""
    _operations[0] = 0
    call(*single(args))
    return _operations[0]


def single(value):
    """Floats of a value, or of a nest of lists and tuples, as binary32."""
    if isinstance(value, (list, tuple)):
        return type(value)(single(v) for v in value)
    return np.float32(value) if isinstance(value, float) else value


def _round(value):
    if isinstance(value, float | np.floating):
        _operations[0] += 1
        return np.float32(value)
    return value


def _import(name, _globals=None, _locals=None, fromlist=(), _level=0):
    if name == "firmware.light":
        return types.SimpleNamespace(**{part: load(part) for part in fromlist})
    if name == "math":
        return types.SimpleNamespace(pi=np.float32(math.pi), **{f: _single(f) for f in _FUNCTIONS})
    return __import__(name, fromlist=fromlist)


_FUNCTIONS = {"sqrt": "sqrt", "log": "log", "exp": "exp", "sin": "sin", "cos": "cos", "atan2": "arctan2"}


def _single(name):
    function = getattr(np, _FUNCTIONS[name])
    return lambda *args: _round(function(*[np.float32(a) for a in args]))


class _Rounded(ast.NodeTransformer):
    """Wrap what makes a float in _round, and literals in _literal."""

    def visit_Constant(self, node):  # noqa: N802  ast's name
        return self._wrapped(node, "_literal") if isinstance(node.value, float) else node

    def visit_BinOp(self, node):  # noqa: N802
        return self._wrapped(self.generic_visit(node))

    def visit_AugAssign(self, node):  # noqa: N802
        target = ast.parse(ast.unparse(node.target), mode="eval").body
        value = ast.BinOp(target, node.op, node.value)
        return ast.copy_location(self.visit(ast.Assign([node.target], value)), node)

    @staticmethod
    def _wrapped(node, by="_round"):
        return ast.Call(ast.Name(by, ast.Load()), [node], [])
