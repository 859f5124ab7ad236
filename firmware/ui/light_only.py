"""What the panel says where only the light was started. Loaded by firmware/light_only.py."""

from firmware.ui.frame import theme
from firmware.ui.frame.canvas import BODY, Canvas

WORDS = ("The light stays on", "The start failed", "Plug in a computer")


def draw(panel):
    """Write the words on the panel."""
    c = Canvas(panel)
    for n, words in enumerate(WORDS):
        c.text(words, c.pad, n * c.row, BODY, theme.HOT if n else theme.TEXT)
    while not c.flush():
        pass
    panel.brightness(50)
