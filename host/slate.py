"""halfstop slate SHOW: the slate of a show, with the light of every take, as CSV and as a page to print."""

import csv
from html import escape

from firmware.light.exposure import stop_name
from firmware.show import fixture_light as units
from firmware.show import slate as slates
from firmware.show.dates import day_text
from firmware.show.slate import Slate
from host import command, local
from host.sheet import file_name, opened

HELP = "write the slate of a show (CSV, and HTML to print)"
HEAD = ("number", "date", "power-up", "scene", "set-up", "take", "note", "look", "master %", "lux at the mark",
        "T-stop", "ISO", "shutter", "frames a second")


def lamp_text(light, extras=()):
    """A lamp's light in words: "50.0 % 3200 K Duv +0.0030 hue 210 sat 40 %"."""
    level, cct, duv, hue, sat, mix = (v / s for v, s in zip(light[:units.EXTRAS], units.SCALE, strict=True))
    if not level:
        return "out"
    said = f"{level * 100:.1f} % {cct:.0f} K"
    said += f" Duv {duv:+.4f}" if duv else ""
    said += f" hue {hue:.0f} sat {sat * mix * 100:.0f} %" if sat * mix else ""
    return said + "".join(f" raw {place + 1}: {value}" for place, value in extras)


def row(show, e):
    """The cells of one take under HEAD."""
    seconds = e[slates.SECONDS]
    scene = f"{e[slates.SCENE]}{chr(64 + e[slates.LETTER]) if e[slates.LETTER] else ''}"
    lit = e[slates.LUX10] > 0
    return (e[slates.NUMBER], day_text(e[slates.DATE]) if e[slates.DATE] else "",
            f"{seconds // 3600}:{seconds // 60 % 60:02}:{seconds % 60:02}", scene, e[slates.SETUP], e[slates.TAKE_NO],
            e[slates.TEXT], show.looks.name_of(e[slates.LOOK]),
            "black" if e[slates.FLAGS] & slates.BLACK else f"{e[slates.MASTER] / 655.36:.0f}",
            f"{e[slates.LUX10] / 10:g}" if lit else "", stop_name(e[slates.STOP100] / 100) if lit else "",
            e[slates.ISO], f"{e[slates.ANGLE10] / 10:g}", f"{e[slates.FPS100] / 100:g}")


def read(show):
    """(list of (cells, {lamp: text}), faults), the oldest first."""
    slate, out = Slate(show), []
    for e in slate.entries():
        if e:
            try:
                lamps = {lamp[1]: lamp_text(lamp[4], lamp[5]) for lamp in slate.lamps(e)}
            except ValueError as error:
                lamps = {}
                slate.faults.append(f"take {e[slates.NUMBER]}: {error}")
            out.append((row(show, e), lamps))
    return out[::-1], slate.faults


def names(takes):
    """Every lamp that a take knows, in the order they came."""
    found = {}
    for _cells, lamps in takes:
        found.update(dict.fromkeys(lamps))
    return list(found)


def harmless(cell):
    """A cell that no spreadsheet takes for a formula."""
    text = str(cell)
    return "'" + text if text[:1] in ("=", "+", "-", "@") else text


def write_csv(path, takes):
    """One line a take, a column a lamp. UTF-8 with a mark, as spreadsheets like it."""
    lamps = names(takes)
    with path.open("w", newline="", encoding="utf-8-sig") as file:
        out = csv.writer(file)
        out.writerow([*HEAD, *map(harmless, lamps)])
        for cells, light in takes:
            out.writerow([*map(harmless, cells), *(light.get(name, "") for name in lamps)])


def page(show, takes):
    """The slate to print: HTML as str. The light stands once for all takes in a row that have it."""
    rows, last = [], None
    for cells, lamps in takes:
        if lamps != last:
            said = "; ".join(f"<b>{escape(name)}</b> {escape(text)}" for name, text in lamps.items())
            rows.append(f'<tr class="light"><td colspan="{len(HEAD)}">{said or "light damaged"}</td></tr>')
            last = lamps
        rows.append("<tr>" + "".join(f"<td>{escape(str(cell))}</td>" for cell in cells) + "</tr>")
    head = "".join(f"<th>{escape(word)}</th>" for word in HEAD)
    return PAGE.format(name=escape(show.name), head=head, rows="\n".join(rows), count=len(takes))


PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Slate: {name}</title><style>
@page {{ size: A4 landscape; margin: 12mm; }}
body {{ font: 9.5pt/1.3 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; margin: 0; }}
h1 {{ font-size: 18pt; margin: 0 0 3mm; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ border: 0.3mm solid #000; padding: 1mm 1.5mm; text-align: left; }}
th {{ background: #e4e4e4; }}
tr {{ break-inside: avoid; }}
.light td {{ background: #f3f3f3; border-top-width: 0.8mm; }}
</style></head><body>
<h1>Slate: {name}</h1>
<p>{count} takes. The grey line is the light of the takes under it. Time counts from power-up.</p>
<table><thead><tr>{head}</tr></thead>
<tbody>
{rows}
</tbody></table>
</body></html>
"""


def options():
    """The command line: argparse's parser."""
    parser = command.parser("slate", HELP, (
        "SHOW is a show's folder or a backup made by `halfstop backup`."))
    parser.add_argument("show", metavar="SHOW")
    parser.add_argument("--name", help="which show, where a backup holds several")
    parser.add_argument("--out", default=".", metavar="FOLDER", help="where to write (default: here)")
    return parser


def main(argv):
    """Write both files. Returns the exit status."""
    asked = options().parse_args(argv)
    with opened(asked.show, asked.name) as show:
        takes, faults = read(show)
    for fault in show.faults + faults:
        print(f"note: {fault}")
    out = local.folder(asked.out)
    table, html = out / f"{file_name(show)}-slate.csv", out / f"{file_name(show)}-slate.html"
    with local.at(table):
        write_csv(table, takes)
    local.write(html, page(show, takes))
    print(table)
    print(html)
    return 0
