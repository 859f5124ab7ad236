"""Single changes of a source: each is a piece of its text and what to put there. Docstrings, text and declarations of
imports are left alone, and so are numbers above 2**24, which are masks and addresses."""

import ast

_COMPARE = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==", ast.In: "not in",
            ast.NotIn: "in", ast.Is: "is not", ast.IsNot: "is"}
_SIGNS = {ast.Add: "-", ast.Sub: "+", ast.Mult: "//", ast.Div: "*", ast.FloorDiv: "*", ast.Mod: "*", ast.BitAnd: "|",
          ast.BitOr: "&", ast.LShift: ">>", ast.RShift: "<<"}
_WORDS = {ast.And: "or", ast.Or: "and"}


def changes(text):
    """[(line, first byte, end, new text)] of a source, in order."""
    raw = text.encode()
    starts = [0]
    for line in raw.split(b"\n"):
        starts.append(starts[-1] + len(line) + 1)
    tree = ast.parse(text)
    shown = _left_alone(tree)
    found = []
    for node in ast.walk(tree):
        if id(node) in shown:
            continue
        for begin, end, new in _of(node, raw, starts):
            found.append((node.lineno, begin, end, new))
    return sorted(set(found))


def apply(text, change):
    """The source with that change."""
    raw = text.encode()
    _line, begin, end, new = change
    return (raw[:begin] + new.encode() + raw[end:]).decode()


def lines_of(text, line):
    """(the lines of the innermost statement around a line, up to it, and whether they run when the module is
    imported)."""
    begin, inner = line, False
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= node.end_lineno:
            head = isinstance(node, ast.FunctionDef | ast.ClassDef) and line < node.body[0].lineno
            if isinstance(node, ast.FunctionDef) and not head:
                inner = True
            begin = node.lineno  # of those around it, the innermost comes last
    return range(begin, line + 1), not inner


def _left_alone(tree):
    """Nodes that are not changed: those of texts, of decorators, of asserted words, and of error messages."""
    out = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise | ast.Import | ast.ImportFrom | ast.JoinedStr):  # of the last, places are wrong
            out.update(map(id, ast.walk(node)))
        for decorator in getattr(node, "decorator_list", ()):
            out.update(map(id, ast.walk(decorator)))
    return out


def _of(node, raw, starts):
    def at(line, column):
        return starts[line - 1] + column

    def whole(one):
        return at(one.lineno, one.col_offset), at(one.end_lineno, one.end_col_offset)

    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        yield from _between(raw, whole(node.left)[1], whole(node.comparators[0])[0], _COMPARE[type(node.ops[0])])
    elif isinstance(node, ast.BinOp) and type(node.op) in _SIGNS and not _is_text(node):
        yield from _between(raw, whole(node.left)[1], whole(node.right)[0], _SIGNS[type(node.op)])
    elif isinstance(node, ast.BoolOp):
        for left, right in zip(node.values, node.values[1:]):
            yield from _between(raw, whole(left)[1], whole(right)[0], _WORDS[type(node.op)])
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool) and abs(node.value) < 1 << 24:
        begin, end = whole(node)
        new = not node.value if isinstance(node.value, bool) else node.value + 1
        yield begin, end, str(new)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        begin, _end = whole(node)
        yield begin, begin + len("not "), ""  # a bracket behind it stays
    elif isinstance(node, ast.If | ast.While) and not isinstance(node.test, ast.Compare | ast.Constant | ast.BoolOp):
        begin, end = whole(node.test)
        yield begin, end, "not (" + raw[begin:end].decode() + ")"
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield *whole(node), "pass"
    elif isinstance(node, ast.Return) and node.value is not None and not isinstance(node.value, ast.Constant):
        yield *whole(node), "return None"


def _is_text(node):
    """True for "..." % x, which is no arithmetic."""
    return isinstance(node.left, ast.Constant) and isinstance(node.left.value, str)


def _between(raw, begin, end, new):
    """The sign between two operands, brackets left alone."""
    gap = raw[begin:end].decode()
    old = gap.strip(" ()\n\\")
    if old and gap.count(old) == 1 and "#" not in gap:
        start = begin + len(gap[:gap.index(old)].encode())
        yield start, start + len(old.encode()), new
