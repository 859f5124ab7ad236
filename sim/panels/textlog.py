"""What is written on the screen, as text: the simulator's ears on a canvas; the device carries nothing of it.

    log = TextLog(app.canvas)     # once, after the canvas is made and before anything is drawn
    log.lines()                   # ["Light  Key", "−1⅓ 5600K", ...]: top to bottom, left to right

It stands between the canvas and its frame buffer: characters are noted as they are drawn, and dropped when
something is painted over their middle. What `width` or the panel's edge cut off is not in it, the ellipsis is.
"""

from firmware.ui import glyphs


class TextLog:
    """Listens to one canvas. outside: [(text, x, y)] of every text that lost ink at the panel's edge, for tests."""

    def __init__(self, canvas):
        self.outside = []
        self._size = canvas.width, canvas.height
        self._marks = []  # [x, y, width, height, character, number of the call that drew it]
        self._calls = 0
        self._draw = canvas._draw
        canvas._draw = self._drawn
        canvas._fb = _Watched(canvas._fb, self._erase)

    def _drawn(self, fb, size, data, s, count, x, y, ink):
        self._calls += 1
        at, lost = x, False
        for character in s[:count]:
            advance = glyphs.measure(data, character, 1)
            if self._inside(data, character, at, y):
                self._marks.append((at, y, advance, data[0], character, self._calls))
            else:
                lost = True
            at += advance
        if lost:
            self.outside.append((s, x, y))
        return self._draw(fb, size, data, s, count, x, y, ink)

    def _inside(self, data, character, x, y):
        """Whether all ink of a character is on the panel."""
        at = glyphs.place(data, ord(character))
        left, top = x + (data[at + 1] >> 6), y + (data[at + 1] & 63)
        return (left >= 0 and top >= 0 and left + data[at + 2] <= self._size[0]
                and top + data[at + 3] <= self._size[1])

    def _erase(self, x, y, w, h):
        self._marks = [mark for mark in self._marks
                       if not (x <= mark[0] + mark[2] // 2 < x + w and y <= mark[1] + mark[3] // 2 < y + h)]

    def runs(self):
        """[(x, y, height, text)]: what each call drew, less what was painted over."""
        made = []
        last = None
        for x, y, w, h, character, call in self._marks:
            if last == (call, x, y):
                made[-1][3] += character
            else:
                made.append([x, y, h, character])
            last = call, x + w, y
        # An ellipsis is a call of its own, right behind the text it ends.
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


class _Watched:
    """A frame buffer that says when an area is painted over."""

    def __init__(self, fb, painted):
        self._fb = fb
        self._painted = painted
        self.blit = fb.blit

    def fill(self, colour):
        self._painted(-1000, -1000, 9999, 9999)
        self._fb.fill(colour)

    def fill_rect(self, x, y, w, h, colour):
        self._painted(x, y, w, h)
        self._fb.fill_rect(x, y, w, h, colour)

    def __getattr__(self, name):
        return getattr(self._fb, name)
