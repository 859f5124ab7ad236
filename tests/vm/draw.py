"""Runs on the unix VM, as `micropython draw.py ROOT FOLDER tft|oled PAGE`: what a redraw after one detent costs.

Prints, for every step of the screen from the detent until the panel has it all, the least µs of some rounds, with
"draw" or "send" before it; then "bytes N" (a redraw's), and "bare N": ns of one turn of an empty loop, to convert by.
"""

import sys
from time import ticks_diff, ticks_us

sys.path.insert(0, sys.argv[1])

from firmware.app import App  # noqa: E402
from hal.disk import Disk  # noqa: E402
from hal.panels import oled_spi, sh1106, st7789  # noqa: E402
from sim.hands import Board  # noqa: E402
from sim.vm import Line  # noqa: E402

_ROUNDS = 30


class Spi:
    """Counts what is written, when it is not timed."""

    count = 0
    counts = True
    used = False

    def write(self, data):
        """Take bytes, or an array."""
        self.used = True
        if self.counts:
            self.count += len(bytes(data))


class Old:
    """A clock by which every step is old: the screen does one slice of its work in each."""

    now = 0

    def ms(self):
        """Ten milliseconds later than the last time."""
        self.now += 10
        return self.now


def nothing(_level):
    """A pin or a wait that does not matter here."""


def panel(kind, spi):
    """The real driver on that bus."""
    if kind == "tft":
        made = st7789.ST7789(spi, nothing, nothing, None, lambda: 0, nothing)
    else:
        made = sh1106.SH1106(oled_spi.OverSpi(spi, nothing, nothing), nothing)
    made.begin()
    return made


def bare_ns():
    """One turn of an empty loop, the measure of a machine's bytecode."""
    def loop():
        s = 0
        for i in range(1000):
            s += i

    least = 1 << 29
    for _ in range(50):
        begin = ticks_us()
        for _ in range(10):
            loop()
        least = min(least, ticks_diff(ticks_us(), begin))
    return least / 10


def redraw(app, spi, way, least):
    """One detent, and the screen's steps until all is sent; keeps the least time of each. -> bytes sent."""
    before = spi.count
    app.page.turn(way)
    app.screen.turned()
    k = 0
    while True:
        spi.used = False
        begin = ticks_us()
        app.screen.step(app.now, app.page, False)
        took = ticks_diff(ticks_us(), begin)
        if k == len(least):
            least.append([spi.used, took])
        elif took < least[k][1]:
            least[k] = [spi.used, took]
        k += 1
        if app.screen.done():
            return spi.count - before


def main(folder, kind, module):
    """Measure and print."""
    spi = Spi()
    app = App(Board("bare", "none", (Line(),), panel(kind, spi), Disk(folder), Old()))
    app.stage.go("Moonlight", 0)
    if module != "light":
        app.open(module)
    while not app.screen.done():
        app.step(app.board.clock.ms())
    least = []
    spi.counts = False
    for n in range(_ROUNDS):
        redraw(app, spi, 1 if n % 2 else -1, least)
    spi.counts = True
    sent = redraw(app, spi, -1, [])
    for used, took in least:
        print("send" if used else "draw", took)
    print("bytes", sent)
    print("bare", bare_ns())


main(*sys.argv[2:])
