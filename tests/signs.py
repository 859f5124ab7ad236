"""Which signs a packed font has, by the form in firmware/ui/frame/glyphs.py: the device draws "?" for others.

`missing` goes over what is on a screen, `constants` over what stands in a source file.
"""

import ast
import functools

LENT = 3  # the font of signs that a page lends (slots.py): pictures, no text


@functools.lru_cache(64)
def of(data):
    """The characters that a font has. data: its bytes."""
    runs = [data[at:at + 3] for at in range(3, 3 + 3 * data[2], 3)]
    return frozenset(chr((run[0] << 8 | run[1]) + n) for run in runs for n in range(run[2]))


def missing(bench):
    """[(text, characters)] on a Bench's screen that the font they are drawn with lacks."""
    fonts = bench.app.canvas._data
    drawn = [(font, text) for *_, font, text in bench._text.strokes() if text and font != LENT]
    return [(text, set(text) - of(bytes(fonts[font]))) for font, text in drawn if set(text) - of(bytes(fonts[font]))]


def constants(source):
    """{(line, text)} of the strings in a source that are not docstrings."""
    tree = ast.parse(source)
    heads = {id(node.body[0].value) for node in ast.walk(tree)
             if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and node.body
             and isinstance(node.body[0], ast.Expr)}
    return {(node.lineno, node.value) for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in heads}
