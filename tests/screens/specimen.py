"""The specimen sheets: every font, ink and shape on a panel, to judge by eye. `python -m tests.screens.specimen`."""

import sys
from pathlib import Path

from firmware.ui.frame import theme
from firmware.ui.frame.canvas import BIG, BODY, CENTRE, RIGHT, SMALL, Canvas
from sim import panels

LINES = ("ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz", "0123456789 +−±=.,:;!?/%°'\"()[]#&@*",
         "½⅓⅔¼⅛ ←↑→↓ ✓●○▶∞∆…– ÄÅÇÉÑÖØÜß äåçéñöøü")
INKS = ("PAPER", "PANEL", "EDGE", "LOW", "DIM", "TEXT", "HOT", "WARN")


def a_canvas(driver):
    """-> (canvas, screen), black."""
    panel, screen = panels.make(driver)
    panel.brightness(100)
    canvas = Canvas(panel)
    canvas.fill(theme.PAPER)
    return canvas, screen


def send(canvas):
    """All that changed."""
    while not canvas.flush():
        pass


def letters(driver, font):
    """All of one font, as much as the panel holds."""
    canvas, screen = a_canvas(driver)
    y = 0
    for line in LINES:
        if canvas.big and font == BIG and line.islower():
            continue  # figures, signs and capitals only
        while line:
            fit = max(n for n in range(len(line) + 1) if canvas.measure(line[:n], font) <= canvas.width)
            if y + canvas.line_height(font) <= canvas.height:
                canvas.text(line[:fit], 0, y, font, theme.TEXT)
            line, y = line[fit:], y + canvas.line_height(font)
    send(canvas)
    return screen


def inks(driver):
    """Inks by name, swatches, bars, frames, a cut text, a chosen row."""
    canvas, screen = a_canvas(driver)
    tall = canvas.line_height(SMALL)
    half = canvas.width // 2
    for n, name in enumerate(INKS):
        x, y = n % 2 * half, n // 2 * (tall + 2)
        canvas.box(x, y, 18, tall, n)
        if name in ("DIM", "TEXT", "HOT", "WARN"):
            canvas.text(name, x + 22, y, SMALL, n)
    y = 4 * (tall + 2)
    for n in range(8):
        canvas.tint(n, *((255, 170, 90), (255, 214, 170), (255, 255, 255), (190, 210, 255), (255, 0, 0), (0, 200, 60),
                         (60, 0, 20), (0, 0, 0))[n])
        canvas.swatch(n * canvas.width // 8, y, canvas.width // 8 - 2, 12, n)
    canvas.bar(0, y + 15, half - 4, 5, 45000, theme.HOT, theme.LOW)
    canvas.frame(half, y + 14, half, 7, theme.EDGE)
    if canvas.big:
        y += 26
        canvas.text("Key light, back room", 4, y, BODY, theme.PAPER, theme.HOT, 150)
        canvas.text("5600 K", canvas.width - 4, y, BODY, theme.TEXT, None, None, RIGHT)
        canvas.text("−1⅓ OUT", half, y + 30, BIG, theme.HOT, None, None, CENTRE)
        canvas.box(0, canvas.height - tall - 2, canvas.width, tall + 2, theme.PANEL)
        canvas.text("turn: level   push: next   hold: lock", 4, canvas.height - tall - 1, SMALL, theme.DIM)
        canvas.text("no feed", canvas.width - 4, canvas.height - tall - 1, SMALL, theme.WARN, None, None, RIGHT)
    send(canvas)
    return screen


SHEETS = {f"specimen-{name}-{panel}": (letters, driver, font)
          for panel, driver in (("tft", "st7789"), ("oled", "sh1106"))
          for name, font in (("small", SMALL), ("body", BODY), ("big", BIG))}
SHEETS |= {"specimen-inks-tft": (inks, "st7789"), "specimen-inks-oled": (inks, "sh1106")}


def main(folder):
    """Write all sheets into a folder."""
    for name, (draw, *arguments) in SHEETS.items():
        draw(*arguments).png(Path(folder) / f"{name}.png")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else ".")
