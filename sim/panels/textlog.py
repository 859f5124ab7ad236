"""What is written on the screen, as text. Used by Bench and the tests; the device has nothing of it.

    log = TextLog(app.canvas)
    log.lines()                   # ["Light  Key", "−1⅓ 5600K", ...]: top to bottom, left to right

It reads the strokes of the canvas. A character counts as gone when something is painted over its middle. What `width`
or the panel's edge cuts off is not in the text, but the ellipsis is.
"""

from firmware.ui.frame import glyphs

_TEXT, _FRAME = 2, 1  # kinds of stroke, as in firmware/ui/frame/canvas.py
_SIGNS = 3  # the font of signs that a page lends, which are no text


class TextLog:
    """Reads one canvas."""

    def __init__(self, canvas):
        self._canvas = canvas

    def strokes(self):
        """[(kind, x, y, width, height, font, text)] of all that is not hidden, in the order of painting."""
        c = self._canvas
        found = []
        for n in range(c._count):
            place, size, what, _look = c._strokes[4 * n:4 * n + 4]
            if size & 4095:
                found.append((what & 3, (place >> 12) - 1024, (place & 4095) - 1024, size >> 12, size & 4095,
                              what >> 6 & 3, c._texts[n][:what >> 8]))
        return found

    def marks(self):
        """[(x, y, width, height, character, number of its stroke)] of every character that is seen."""
        marks = []
        for n, (kind, x, y, w, h, font, text) in enumerate(self.strokes()):
            if kind == _TEXT and font == _SIGNS:
                continue
            if kind == _TEXT:
                marks += [mark + (n,) for mark in self._characters(x, y, font, text) if self._inside(font, mark)]
            elif kind != _FRAME:
                marks = [mark for mark in marks
                         if not (x <= mark[0] + mark[2] // 2 < x + w and y <= mark[1] + mark[3] // 2 < y + h)]
        return marks

    def outside(self):
        """[(text, x, y)] of every text that lost ink at the panel's edge."""
        return [(text, x, y) for kind, x, y, _w, _h, font, text in self.strokes() if kind == _TEXT
                and not all(self._inside(font, mark) for mark in self._characters(x, y, font, text))]

    def _characters(self, x, y, font, text):
        data = self._canvas._data[font]
        for character in text:
            advance = glyphs.measure(data, character, 1)
            yield x, y, advance, data[0], character
            x += advance

    def _inside(self, font, mark):
        """Whether all ink of a character is on the panel."""
        data, c = self._canvas._data[font], self._canvas
        at = glyphs.place(data, ord(mark[4]))
        left, top = mark[0] + (data[at + 1] >> 6), mark[1] + (data[at + 1] & 63)
        return left >= 0 and top >= 0 and left + data[at + 2] <= c.width and top + data[at + 3] <= c.height

    def runs(self):
        """[(x, y, height, text)]: what each stroke wrote, less what was painted over."""
        made = []
        last = None
        for x, y, w, h, character, stroke in self.marks():
            if last == (stroke, x, y):
                made[-1][3] += character
            else:
                made.append([x, y, h, character])
            last = stroke, x + w, y
        # An ellipsis is a stroke of its own, right behind the text it ends.
        return [tuple(run) for run in made if run[3].strip()]

    def lines(self):
        """The text, top to bottom; what stands side by side is joined by a space, left to right."""
        rows = []  # [middle, height, runs]
        for run in sorted(self.runs(), key=lambda run: run[1] * 2 + run[2]):
            middle = run[1] + run[2] / 2
            if rows and middle - rows[-1][0] <= min(run[2], rows[-1][1]) / 2:
                rows[-1][2].append(run)
            else:
                rows.append([middle, run[2], [run]])
        return [_joined(sorted(runs)) for _, _, runs in rows]


def _joined(runs):
    text = ""
    for run in runs:
        glue = "" if run[3] == "…" or not text else " "
        text = text.rstrip() + glue + run[3].strip()
    return text
