"""Pack the fonts: `make fonts` writes firmware/ui/fonts/*.py, `python -m host.fonts --check` compares.

Lists and hints are in a face that was drawn for pixels: X11's bold sans of 12 and 17 px, in host/faces. The smallest
letters, the large figures and signs that X11's face lacks are of DejaVu Sans 2.37, found where npm or Debian put it,
drawn one bit a pixel by FreeType's hinter. Licences: firmware/ui/fonts/FONTS.txt. Fractions are set here, as the drawn
ones blur when small; so is the capital I, which the face draws as it does the small l.
FreeType before 2.14 (Pillow before 12) sets some two pixels in a hundred otherwise: use a newer one.
"""

import pathlib
import sys

ROOT = pathlib.Path(__file__).parent.parent
PLACES = (ROOT / "build/npm/node_modules/dejavu-fonts-ttf/ttf",
          pathlib.Path("/usr/share/fonts/truetype/dejavu"), ROOT / "host/faces")
LATIN = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100))))
PLAIN = "".join(map(chr, range(0x20, 0x7F))) + "°±¼½¾"  # the rest is loaded at the first text that has some of it
SIGNS = "–…←↑→↓∆−∞✓●○▶⅓⅔⅛"
FIGURES = " 0123456789+-−±.,:/%°?½¼¾⅓⅔⅛∞∆…" + LATIN[33:59]
# name: (face, size, line height, baseline, characters, face and size of a fraction's figures)
FONTS = {
    "tiny": ("DejaVuSans.ttf", 9, 9, 7, LATIN + SIGNS + "↻⤓⇓", None),
    "small": ("helvB12-75dpi.pcf.gz", 12, 15, 12, LATIN + SIGNS, None),
    "body": ("helvB12-100dpi.pcf.gz", 17, 20, 16, LATIN + SIGNS, ("DejaVuSans-Bold.ttf", 9)),
    "figures": ("DejaVuSansCondensed-Bold.ttf", 38, 38, 29, FIGURES, None),
}
FONTS |= {name + "_plain": (*font[:4], "".join(c for c in font[4] if c in PLAIN or c not in LATIN), font[5])
          for name, font in FONTS.items() if LATIN in font[4]}
# Signs that a face lacks, and from which face they are; capitals that are drawn here, with their advance.
OTHER = "∆←↑→↓∞✓●○▶"
OTHERS = {12: ("DejaVuSansCondensed-Bold.ttf", 13), 17: ("DejaVuSansCondensed-Bold.ttf", 17)}
OWN = {(12, "I"): (5, ("####", *[".##."] * 7, "####")),
       (17, "I"): (8, (*["######"] * 2, *["..##.."] * 8, *["######"] * 2))}
FRACTIONS = {"½": "12", "¼": "14", "¾": "34", "⅓": "13", "⅔": "23", "⅛": "18"}
# The gestures, for hints on the small panel: turn, push, hold. Drawn here: no font has them.
GESTURES = {
    "↻": ("..###.#", ".#...##", "#...###", "#......", "#.....#", ".#...#.", "..###.."),
    "⤓": ("...#...", "...#...", ".#####.", "..###..", "...#...", ".......", "#######"),
    "⇓": ("...#...", ".#####.", "..###..", "...#...", "#######", ".......", "#.#.#.#"),
}
_DIGITS = {  # three by five, for fractions in the small sizes
    "1": (".#.", "##.", ".#.", ".#.", "###"), "2": ("##.", "..#", ".#.", "#..", "###"),
    "3": ("##.", "..#", ".#.", "..#", "##."), "4": ("#.#", "#.#", "###", "..#", "..#"),
    "8": ("###", "#.#", "###", "#.#", "###"),
}


def face(name, size):
    """A Pillow font. Errors: FileNotFoundError, saying what to install."""
    from PIL import ImageFont

    for place in PLACES:
        if (place / name).exists():
            return ImageFont.truetype(str(place / name), size, layout_engine=ImageFont.Layout.BASIC)
    raise FileNotFoundError(f"no {name}: npm install --prefix build/npm dejavu-fonts-ttf (or Debian's "
                            "fonts-dejavu-extra), then make fonts")


def draw(font, character, height, baseline):
    """One glyph -> (advance, left, top, rows), rows as strings of '#' and '.', cropped to its ink."""
    from PIL import Image, ImageDraw

    image = Image.new("1", (96, height + 40))
    pen = ImageDraw.Draw(image)
    pen.fontmode = "1"
    pen.text((16, baseline + 20), character, font=font, fill=1, anchor="ls")
    advance = round(font.getlength(character))
    box = image.getbbox()
    if not box:
        return advance, 0, 0, []
    left, top, right, bottom = box
    if font.path.endswith(".pcf.gz"):
        # A record cannot say that ink begins before its place, as that of j. An r that touches an n looks like an m.
        advance = max(advance, right - 15) + max(0, 16 - left)
    rows = ["".join("#" if image.getpixel((x, y)) else "." for x in range(left, right))
            for y in range(top, bottom)]
    return (advance, *settle(left - 16, top - 20, rows, height))


def settle(left, top, rows, height):
    """Into the line: what stands out above moves down as far as there is room; the rest is cut."""
    if top < 0:
        top += min(-top, max(0, height - top - len(rows)))
    rows = rows[max(0, -top):]
    top = max(0, top)
    left = max(0, left)
    rows = ["." * max(0, left - 3) + row for row in rows]  # a record has two bits for left
    return min(left, 3), top, rows[:height - top]


def figures_of(small, character):
    """Rows of one small figure."""
    return _DIGITS[character] if small is None else draw(face(*small), character, 12, 10)[3]


def fraction(character, height, baseline, small):
    """A stacked fraction with a level bar, or a slanted one where nine rows are all there are."""
    over, under = (figures_of(small, figure) for figure in FRACTIONS[character])
    width = max(len(over[0]), len(under[0]))
    if height < 2 * len(over) + 3:
        grid = [["."] * 8 for _ in range(9)]
        for y, x in enumerate((5, 5, 5, 4, 4, 3, 3, 2, 2)):
            grid[y][x] = "#"
        for y in range(5):
            grid[y][:3] = over[y]
            grid[y + 4][5:] = under[y]
        return 9, 0, 0, ["".join(row) for row in grid]
    bar = ("." * width, "#" * width, "." * width)
    rows = [row.center(width, ".") for row in (*over, *bar, *under)]
    top = min(max(0, baseline - len(rows) + 2), height - len(rows))
    return width + 2, 1, top, rows


def glyphs(name):
    """{code point: (advance, left, top, rows)} of one font, by code point."""
    source, size, height, baseline, characters, small = FONTS[name]
    font, other = face(source, size), face(*OTHERS.get(size, (source, size)))
    made = {}
    for character in sorted(characters):
        if character in FRACTIONS and size < 30:
            made[ord(character)] = fraction(character, height, baseline, small)
        elif character in GESTURES:
            made[ord(character)] = 8, 0, 1, GESTURES[character]
        elif (size, character) in OWN:
            advance, rows = OWN[size, character]
            made[ord(character)] = advance, (advance - len(rows[0])) // 2, baseline - len(rows), rows
        else:
            made[ord(character)] = draw(other if character in OTHER else font, character, height, baseline)
    return made


def runs(codes):
    """Sorted code points -> [[first, count]] of unbroken runs."""
    found = []
    for code in codes:
        if found and code == found[-1][0] + found[-1][1] and found[-1][1] < 255:
            found[-1][1] += 1
        else:
            found.append([code, 1])
    return found


def record(advance, left, top, rows):
    """One glyph's bytes: advance, left and top, width, rows, then the rows from the left, bit 7 first."""
    width = len(rows[0]) if rows else 0
    if left > 3 or top > 63 or advance > 255:
        raise ValueError(f"a glyph stands too far off: left {left}, top {top}, advance {advance}")
    bits = b"".join(int(row.replace("#", "1").replace(".", "0").ljust(-(-width // 8) * 8, "0"), 2)
                    .to_bytes(-(-width // 8), "big") for row in rows)
    return bytes((advance, left << 6 | top, width, len(rows))) + bits


def pack(name):
    """The font's bytes, as firmware/ui/frame/glyphs.py reads them."""
    _, _, height, baseline, _, _ = FONTS[name]
    made = glyphs(name)
    table = runs(made)
    records = [record(*glyph) for glyph in made.values()]
    at = 3 + 3 * len(table) + 2 * len(records)
    places = b""
    for data in records:
        places += at.to_bytes(2, "big")
        at += len(data)
    heads = b"".join(first.to_bytes(2, "big") + bytes((count,)) for first, count in table)
    return bytes((height, baseline, len(table))) + heads + places + b"".join(records)


def module(name):
    """The text of firmware/ui/fonts/NAME.py."""
    data = pack(name)
    source, size = FONTS[name][:2]
    lines = [f'    {data[i:i + 24]!r}' for i in range(0, len(data), 24)]
    return (f'"""{source.split(".")[0]} at {size} px, packed by host/fonts.py: do not edit. Licence: FONTS.txt."""\n'
            "# ruff: noqa: E501\n\nDATA = (\n" + "\n".join(lines) + "\n)\n")


def main(argv):
    """Write the modules, or with --check compare them. -> exit status."""
    stale = []
    for name in FONTS:
        path = ROOT / f"firmware/ui/fonts/{name}.py"
        text = module(name)
        if not path.exists() or path.read_text() != text:
            stale.append(path.name)
            if "--check" not in argv:
                path.write_text(text)
    if "--check" in argv and stale:
        print(f"not as host/fonts.py packs them: {', '.join(stale)}; run make fonts", file=sys.stderr)
        return 1
    print("fonts:", ", ".join(f"{name} {len(pack(name))} bytes" for name in FONTS))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
