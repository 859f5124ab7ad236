"""python -m tests.screens: one HTML page with the kept screens, the new ones and the difference."""

import html
import shutil
import sys

from PIL import Image, ImageChops

from tests import screens

OUT = screens.NEW.parent
STYLE = """body { background: #222; color: #eee; font: 16px sans-serif; margin: 24px }
img { image-rendering: pixelated; width: 480px; border: 1px solid #666; background: #000 }
td, th { padding: 8px; vertical-align: top; text-align: left }"""


def difference(old, new):
    """White where two pictures differ; None where they are the same or not of one size."""
    if old.size != new.size:
        return None
    grey = ImageChops.difference(old.convert("RGB"), new.convert("RGB")).convert("L")
    return grey.point(lambda level: 255 if level else 0) if grey.getbbox() else None


def compare(name):
    """Lay one screen's pictures out for the page. -> (what to say, files that exist)."""
    old, new = screens.KEPT / f"{name}.png", screens.NEW / f"{name}.png"
    files = [None, None, None]
    if old.exists():
        shutil.copy(old, OUT / f"old-{name}.png")
        files[0] = f"old-{name}.png"
    if new.exists():
        files[1] = f"new/{name}.png"
    if not new.exists():
        return "no longer drawn", files
    if not old.exists():
        return "new", files
    before, after = Image.open(old), Image.open(new)
    changed = difference(before, after)
    if changed:
        changed.save(OUT / f"difference-{name}.png")
        files[2] = f"difference-{name}.png"
    return "changed" if changed or before.size != after.size else "same", files


def page(rows):
    """The page's HTML. rows: (name, what to say, files)."""
    lines = [f"<!doctype html><meta charset=utf-8><title>Screens</title><style>{STYLE}</style><h1>Screens</h1>",
             "<table><tr><th>old<th>new<th>difference"]
    for name, said, files in rows:
        cells = "".join(f'<td><img src="{file}" alt="">' if file else "<td>" for file in files)
        lines.append(f"<tr><th colspan=3>{html.escape(name)}: {said}<tr>{cells}")
    return "\n".join([*lines, "</table>\n"])


def main():
    """Write the page and say how it stands. -> exit status 0."""
    OUT.mkdir(parents=True, exist_ok=True)
    names = {path.stem for folder in (screens.KEPT, screens.NEW) for path in folder.glob("*.png")}
    rows = [(name, *compare(name)) for name in sorted(names)]
    rows.sort(key=lambda row: row[1] == "same")
    (OUT / "index.html").write_text(page(rows), encoding="utf-8")
    for name, said, _ in rows:
        if said != "same":
            print(f"{name}: {said}")
    print(f"{len(rows)} screens, {sum(row[1] != 'same' for row in rows)} to look at: {OUT / 'index.html'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
