"""The machine-code twin of firmware.ui.frame.strokes, which allocates nothing. Used by the canvas where the port has an
emitter.
"""
# ruff: noqa: F821

import micropython


@micropython.viper
def text_sum(text: ptr8) -> int:
    """As firmware.ui.frame.strokes.text_sum: the bytes up to the NUL that MicroPython keeps behind them."""
    total = 0x345678
    i = 0
    while text[i]:
        total = (total ^ text[i]) * 0x193 & 0x3FFFFFFF
        i += 1
    return total


@micropython.viper
def hide(strokes: ptr32, count: int, x: int, y: int, w: int, h: int):
    """As firmware.ui.frame.strokes.hide."""
    x += 1024
    y += 1024
    at = 0
    end = count * 4
    while at < end:
        left = strokes[at] >> 12
        top = strokes[at] & 4095
        size = strokes[at + 1]
        if left >= x and top >= y and left + (size >> 12) <= x + w and top + (size & 4095) <= y + h:
            strokes[at + 1] = 0
        at += 4


@micropython.viper
def within(strokes: ptr32, count: int, at: int, top: int, bottom: int) -> int:
    """As firmware.ui.frame.strokes.within."""
    top += 1024
    bottom += 1024
    while at < count:
        y = strokes[at * 4] & 4095
        h = strokes[at * 4 + 1] & 4095
        if h and y < bottom and y + h > top:
            break
        at += 1
    return at


@micropython.viper
def rows_sum(strokes: ptr32, count: int, top: int, bottom: int) -> int:
    """As firmware.ui.frame.strokes.rows_sum."""
    top += 1024
    bottom += 1024
    total = 0x345678
    at = 0
    end = count * 4
    while at < end:
        y = strokes[at] & 4095
        h = strokes[at + 1] & 4095
        if h and y < bottom and y + h > top:
            word = 0
            while word < 4:
                total = ((total ^ strokes[at + word]) * 0x193 ^ total >> 13) & 0x3FFFFFFF
                word += 1
        at += 4
    return total


@micropython.viper
def retint(strokes: ptr32, count: int, what: int, colour: int):
    """As firmware.ui.frame.strokes.retint."""
    at = 0
    end = count * 4
    while at < end:
        if strokes[at + 2] == what:
            strokes[at + 3] = colour
        at += 4
