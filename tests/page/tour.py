"""docs/tour.gif: a minute of work on the panel, as the device draws it. Part of `make pictures`; look at it."""

import pathlib

from PIL import Image

from sim import Bench

DOCS = pathlib.Path(__file__).parent.parent.parent / "docs"
# What is done, and how long each picture stays, ms: dial the key, its white, store nothing, go to another look.
STEPS = (
    (lambda b: b.run(1), 1200),
    *((lambda b: b.turn(1), 140),) * 5,
    (lambda b: b.press(), 500),
    *((lambda b: b.turn(-1), 140),) * 4,
    (lambda b: b.run(0.2), 900),
    (lambda b: b.tap("look"), 900),
    (lambda b: b.turn(1), 700),
    (lambda b: b.press(), 500),
    *((lambda b: b.run(1), 250),) * 8,
    (lambda b: b.tap("back"), 600),
    (lambda b: b.run(0.3), 1500),
)


def main():
    """Write it."""
    bench, pictures, times = Bench("pico2_tft", "demo"), [], []
    for act, ms in STEPS:
        act(bench)
        bench.run(0.15)
        panel = bench.panel
        picture = Image.frombytes("RGB", (panel.width, panel.height), bytes(panel.rgb()))
        pictures.append(picture.resize((2 * panel.width, 2 * panel.height), Image.Resampling.NEAREST).quantize(32))
        times.append(ms)
    path = DOCS / "tour.gif"
    pictures[0].save(path, save_all=True, append_images=pictures[1:], duration=times, loop=0, optimize=True)
    print("written:", path, path.stat().st_size, "bytes,", len(pictures), "pictures")


if __name__ == "__main__":
    main()
