"""The desktop's framebuf against the real VM's: the same random calls must leave the same bytes."""

import subprocess
from pathlib import Path

from sim.shims import framebuf as twin

# Run by both: a seed, then random calls; prints the buffer after each.
SCRIPT = """
def run(framebuf, random, seed, calls):
    random.seed(seed)
    r = lambda a, b: a + random.getrandbits(20) % (b - a + 1)
    forms = (framebuf.MONO_VLSB, framebuf.MONO_HLSB, framebuf.GS4_HMSB)
    w, h, form = r(1, 45), r(1, 37), forms[r(0, 2)]
    stride = w + r(0, 9)
    data = bytearray(r(0, 255) for _ in range((stride + 8) * (h + 8)))
    fb = framebuf.FrameBuffer(data, w, h, form, stride)
    p = lambda: r(-12, 55)
    out = []
    for _ in range(calls):
        k, c = r(0, 8), r(0, 15)
        if k == 0: out.append(fb.pixel(p(), p()))
        elif k == 1: fb.pixel(p(), p(), c)
        elif k == 2 and r(0, 5) == 0: fb.fill(c)
        elif k == 3: fb.fill_rect(p(), p(), p(), p(), c)
        elif k == 4: fb.rect(p(), p(), p(), p(), c, bool(r(0, 1)))
        elif k == 5: fb.hline(p(), p(), p(), c); fb.vline(p(), p(), p(), c)
        elif k == 6: fb.line(p(), p(), p(), p(), c)
        elif k == 7: fb.scroll(r(-9, 9), r(-9, 9))
        else:
            sw, sh, sform = r(1, 30), r(1, 20), forms[r(0, 2)]
            pixels = bytearray(r(0, 255) for _ in range((sw + 8) * (sh + 8)))
            source = framebuf.FrameBuffer(pixels, sw, sh, sform, sw + r(0, 3))
            colours = bytearray(r(0, 255) for _ in range(16))
            palette = framebuf.FrameBuffer(colours, 16, 1, forms[r(0, 2)])
            key = palette.pixel(0, 0) if r(0, 1) else r(-1, 15)  # as for text: what is not ink is left out
            inside = (r(0, max(0, w - sw)), r(0, max(0, h - sh)))
            x, y = inside if r(0, 1) else (p(), p())
            fb.blit(source, x, y, key, palette if r(0, 2) else None)
        out.append(sum((i % 251 + 1) * b for i, b in enumerate(data)))
    out.append(bytes(data))
    return out
"""


class _Random:
    """The VM's yasmarang generator is not CPython's: one small generator for both."""

    def seed(self, n):
        self.state = n * 2654435761 % 1000003 + 1

    def getrandbits(self, n):
        self.state = self.state * 48271 % 2147483647
        return self.state >> 4 & (1 << n) - 1


def _ours(seed, calls):
    space = {}
    exec(SCRIPT, space)
    return space["run"](twin, _Random(), seed, calls)


def test_same_bytes_as_the_vm(tmp_path, vm):
    seeds, calls = range(500), 25
    generator = Path(__file__).read_text().split("class _Random:")[1].split("\n\n\ndef")[0]
    script = tmp_path / "calls.py"
    script.write_text("import framebuf\n" + SCRIPT + "\nclass _Random:" + generator
                      + f"\nfor s in range({len(seeds)}): print(run(framebuf, _Random(), s, {calls}))\n")
    said = subprocess.run([vm, script], capture_output=True, text=True, check=True).stdout.splitlines()
    assert len(said) == len(seeds)
    for seed, line in zip(seeds, said, strict=True):
        assert repr(_ours(seed, calls)) == line, f"seed {seed}"
