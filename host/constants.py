"""Numbers in place of the names of constants, for the code on a small board. Used by host/shorten.py.

MicroPython puts a constant's number into the code only in the module that makes it with const(), under a name with an
underscore. A constant that several modules share is a name in RAM, an entry in its module, and is looked up each time.
So here every whole number that a module gives a name in capitals, once, is put where that name is used, in all modules.
"""

import ast

_ASKED = ("boards",)  # modules that are handed on as objects
_HANDED_ON = 3  # modules may import a constant for others, so many deep

class Constants:
    """The constants of a program: `values`: {full name of a module: {name: number}}."""

    def __init__(self, trees, keep):
        """trees: {full name of a module: its tree}; keep: names that strings ask for."""
        self.values = {module: {name: value for name, value in _numbers(tree) if name not in keep}
                       for module, tree in trees.items() if not module.startswith(_ASKED)}
        for _ in range(_HANDED_ON):
            for module, tree in trees.items():
                self.values.get(module, {}).update(self._imported(tree.body))
        for module, tree in trees.items():
            self._leave_out(module, tree)

    def _imported(self, nodes):
        """{name: number} of the constants that these nodes import."""
        return {alias.asname or alias.name: self.values[node.module][alias.name]
                for node in nodes if isinstance(node, ast.ImportFrom) and node.module in self.values
                for alias in node.names if alias.name in self.values[node.module]}

    def _leave_out(self, module, tree):
        """What is set twice is no constant, and what a module imports under a name that it sets too is left alone."""
        found = [node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and _is_set(node)]
        found += [node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)]
        for name in [name for name in self.values.get(module, ()) if found.count(name) > 1]:
            del self.values[module][name]
        for node in ast.walk(tree):
            for alias in node.names if isinstance(node, ast.ImportFrom) else ():
                if (alias.asname or alias.name) in found:
                    self.values.get(module, {}).pop(alias.asname or alias.name, None)
                    self.values.get(node.module, {}).pop(alias.name, None)
                    self.values.get(f"{node.module}.{alias.name}", {}).clear()

    def put_in(self, tree, module=""):
        """Put the numbers into a module's tree, and take the names out of it. module: its full name, "" for a text that
        uses the program."""
        named, spaces = {**self.values.get(module, {}), **self._imported(ast.walk(tree))}, {}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                spaces.update({alias.asname or alias.name: self.values[f"{node.module}.{alias.name}"]
                               for alias in node.names if f"{node.module}.{alias.name}" in self.values})
        return ast.fix_missing_locations(_Numbers(self.values, named, spaces).visit(tree))


class _Numbers(ast.NodeTransformer):
    """named: {name here: number}; spaces: {name here of a module: {name: number}}."""

    def __init__(self, values, named, spaces):
        self._values, self._named, self._spaces = values, named, spaces

    def visit_Name(self, node):  # noqa: N802  (ast's name)
        if node.id in self._named and not _is_set(node):
            return _number(self._named[node.id])
        return node

    def visit_Attribute(self, node):  # noqa: N802
        space = self._spaces.get(node.value.id, {}) if isinstance(node.value, ast.Name) else {}
        if node.attr in space:
            return _number(space[node.attr])
        return self.generic_visit(node)

    def visit_ImportFrom(self, node):  # noqa: N802
        values = self._values.get(node.module, {})
        node.names = [alias for alias in node.names if alias.name not in values]
        return node if node.names else ast.Pass()

    def visit_Assign(self, node):  # noqa: N802
        if node.col_offset == 0 and any(name in self._named for name, _value in _set_by(node)):
            left = [(name, value) for name, value in _set_by(node) if name not in self._named]
            return [ast.Assign([ast.Name(name, ast.Store())], _number(value)) for name, value in left]
        return self.generic_visit(node)


def _numbers(tree):
    """(name, number) of what a module sets at its top and names in capitals; the compiler sees to const()'s own."""
    for node in tree.body:
        yield from ((name, value) for name, value in _set_by(node) if name.isupper()
                   and not (name.startswith("_") and ast.unparse(node.value).startswith("const(")))


def _set_by(node):
    """(name, number) of an assignment of whole numbers: one, several, those of a range, or const() of one."""
    if not isinstance(node, ast.Assign) or len(node.targets) > 1:
        return []
    targets = node.targets[0].elts if isinstance(node.targets[0], ast.Tuple) else node.targets
    text = ast.unparse(node.value)
    try:
        values = eval(text, {"__builtins__": {"range": range, "const": int}})
    except (NameError, TypeError, ValueError):
        return []
    values = [values] if isinstance(values, int) else values
    if not (isinstance(values, (tuple, list, range)) and len(values) == len(targets)):
        return []
    if not all(type(value) is int for value in values) or not all(isinstance(one, ast.Name) for one in targets):
        return []
    return list(zip([one.id for one in targets], values))


def _is_set(node):
    return isinstance(node.ctx, ast.Store)


def _number(value):
    return ast.Constant(value) if value >= 0 else ast.UnaryOp(ast.USub(), ast.Constant(-value))
