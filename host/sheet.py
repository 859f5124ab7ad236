"""halfstop sheet SHOW: the set-up sheet for the crew: what to set on each lamp, as HTML and PDF."""

import contextlib
import csv
import pathlib
import re
import shutil
import subprocess
import tempfile
import zipfile
from html import escape

from firmware.show import electrical_load
from firmware.show.address import reach, start
from firmware.show.show import Show
from firmware.universe import SLOTS
from host import Refused, check, command, local

HELP = "print the set-up sheet of a show (HTML and PDF)"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
CAUTIONS = (
    ("Overhead", "Every lamp and accessory above people: clamp tight, safety cord on, cable tied, nobody below while "
                 "rigging."),
    ("Hot", "Lamps, lenses and doors burn skin and set paper, gel and curtains alight: gloves, distance, let it cool."),
    ("Mains", "Watts are planning aids. Spread the load, leave 20 % of each circuit free, no damaged cables, dry "
              "connectors. Local codes and a licensed electrician decide."),
    ("Data", "Daisy-chain, terminate the last lamp with 120 ohm. DMX512 is never for anything that can injure: no "
             "pyrotechnics, hoists or moving loads (ANSI E1.11)."),
    ("Flashing", "More than three flashes a second can bring on seizures (WCAG 2.3.1): warn people, keep it slower."),
)


def read_show(source, name=None):
    """The show in a folder or in a backup .zip. name: which, where a zip holds several. Errors: Refused."""
    with opened(source, name) as show:
        return show


@contextlib.contextmanager
def opened(source, name=None):
    """As read_show, for as long as the files are needed."""
    from sim.disk import FolderDisk

    path = pathlib.Path(source)
    if not path.exists():
        raise Refused(f"{source}: there is no such folder or backup")
    with tempfile.TemporaryDirectory() as work:
        folder = path if path.is_dir() else _unpacked(path, pathlib.Path(work), name)
        if not (folder / "rig.json").exists():
            raise Refused(f"{source} is no show: there is no rig.json in it")
        show = Show(FolderDisk(folder.parent), folder.name)
        show.load()
        yield show


def _unpacked(path, work, name):
    """Unpack one show of a backup into `work`; returns its folder. Only the names that zipfile makes safe are used."""
    try:
        local.read(path)
        with zipfile.ZipFile(path) as archive:
            rigs = sorted(one for one in archive.namelist() if one.endswith("rig.json"))
            found = [one for one in rigs if name is None or pathlib.PurePosixPath(one).parent.name == name]
            if len(found) != 1:
                names = ", ".join(pathlib.PurePosixPath(one).parent.name for one in rigs) or "none"
                raise Refused(f"{path} holds these shows: {names}. Say which one: --name NAME")
            folder = pathlib.PurePosixPath(found[0]).parent
            inside = [one for one in archive.infolist() if one.filename.startswith(f"{folder}/")]
            if sum(one.file_size for one in inside) > 50_000_000:
                raise Refused(f"{path}: the show in it would unpack to more than 50 MB: not opened")
            archive.extractall(work, inside)
    except check.DAMAGE as error:
        raise Refused(f"{path} is neither a show's folder nor a backup: {error}") from error
    return work / folder


def extras(path):
    """Positions and watts from a CSV file with the columns name, position, watts: {name: (position, watts or None)}."""
    try:
        text = local.read(path).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(f"{path}: is no text in UTF-8 (byte {error.start}): save it as CSV in UTF-8") from error
    found = {}
    for number, line in enumerate(csv.DictReader(text.splitlines()), 2):
        name, position, watts = ((line.get(key) or "").strip() for key in ("name", "position", "watts"))
        try:
            found[name] = (position, float(watts) if watts else None)
        except ValueError:
            raise Refused(f"{path}, line {number}: watts is a number, not {watts!r}") from None
    return found


def switches(address):
    """Which of nine address switches are on: "1 3 4" for 13. Common practice, no source: switch n counts 2^(n-1)."""
    return " ".join(str(bit + 1) for bit in range(9) if address >> bit & 1)


def row(fixture, more, two=False):
    """One lamp as a table row. two: with the port whose cable it is on."""
    position, watts = more.get(fixture.name, ("", None))
    position = position or fixture.trims.get("place", "")
    watts = fixture.trims.get("watts") if watts is None else watts
    many = electrical_load.lamp_count(fixture)
    watts = watts * many if watts is not None else None
    slots = fixture.personality.slots
    port = (("address", (fixture.address - 1) // SLOTS + 1),) if two else ()
    name = fixture.name if many == 1 else f"{many} x {fixture.name}"
    cells = (("tick", ""), ("name", name), ("", fixture.personality.name), ("", slots),
             *port, ("address", start(fixture.address)), ("uses", reach(fixture.address, slots)),
             ("uses", switches(start(fixture.address))), ("position", position),
             ("watts", "" if watts is None else f"{watts:g}"))
    text = "".join(f'<td class="{kind}">{escape(str(said))}</td>' for kind, said in cells)
    return f"<tr>{text}</tr>", watts


def page(show, more):
    """The sheet: HTML as str."""
    two = show.rig.slots() > SLOTS
    rows = [row(fixture, more, two) for fixture in show.rig.fixtures]
    known = [watts for _, watts in rows if watts is not None]
    total = f"{sum(known):g} W" if known else ""
    if known and len(known) < len(rows):
        total += f" (of {len(known)} of {len(rows)} lamps)"
    used = sum(1 for slot in show.rig.used() if slot)
    lines = "".join(f"<li><b>{word}.</b> {escape(said)}</li>" for word, said in CAUTIONS)
    return PAGE.format(name=escape(show.name), rows="\n".join(text for text, _ in rows), total=total, cautions=lines,
                       lamps=len(rows), used=used, slots=show.rig.slots(),
                       port="<th>port</th>" * two, wide=7 + two)


PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Set-up sheet: {name}</title><style>
@page {{ size: A4 landscape; margin: 12mm; }}
body {{ font: 11pt/1.35 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; margin: 0; }}
h1 {{ font-size: 20pt; margin: 0; }}
p {{ margin: 2mm 0 4mm; }}
table {{ border-collapse: collapse; width: calc(100% - 1mm); }}
th, td {{ border: 0.4mm solid #000; padding: 1.6mm 2mm; text-align: left; }}
th {{ background: #e4e4e4; font-size: 9.5pt; }}
tr, li {{ break-inside: avoid; }}
.tick {{ width: 7mm; }}
.address {{ font-size: 20pt; font-weight: bold; text-align: right; }}
.name {{ font-weight: bold; white-space: nowrap; }}
.uses {{ white-space: nowrap; }}
.position {{ width: 22%; }}
.watts {{ min-width: 20mm; }}
ul {{ border: 0.8mm solid #000; margin: 5mm 0 0; padding: 3mm 3mm 3mm 9mm; font-size: 10pt; break-inside: avoid; }}
</style></head><body>
<h1>Set-up sheet: {name}</h1>
<p>{lamps} lamps, {used} of {slots} slots. Set each lamp to the mode and the address given, tick it, write in where it
stands.</p>
<table><thead><tr><th>set</th><th>lamp</th><th>mode</th><th>slots</th>{port}<th>address</th><th>uses</th>
<th>switches on</th><th>position</th><th>watts</th></tr></thead>
<tbody>
{rows}
<tr><td colspan="{wide}"><b>Together</b></td><td colspan="2"><b>{total}</b></td></tr>
</tbody></table>
<ul>{cautions}</ul>
</body></html>
"""


def file_name(show):
    """The show's name as files are called: a "/" in it makes no folder."""
    return re.sub(r'[\\/:*?"<>|]', "-", show.name).strip(". ") or "show"


def to_pdf(html, pdf):
    """Print a page with the browser on this computer. Errors: Refused where there is none, or it fails."""
    browser = next((found for found in map(shutil.which, BROWSERS) if found), None)
    if browser is None:
        raise Refused(f"no browser found to make the PDF ({', '.join(BROWSERS)}). Open {html} and print it.")
    with tempfile.TemporaryDirectory() as profile:
        done = subprocess.run(
            [browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
             f"--user-data-dir={profile}", f"--print-to-pdf={pdf}", html.resolve().as_uri()],
            capture_output=True, text=True, timeout=120, check=False)
    if done.returncode or not pdf.exists():
        raise Refused(f"{browser} did not make the PDF: {done.stderr[-500:]}. Open {html} and print it.")


def options():
    """The command line: argparse's parser."""
    parser = command.parser("sheet", HELP, (
        "SHOW is a show's folder or a backup made by `halfstop backup`."))
    parser.add_argument("show", metavar="SHOW")
    parser.add_argument("--name", help="which show, where a backup holds several")
    parser.add_argument("--with", dest="more", metavar="FILE.csv", help="columns: name, position, watts")
    parser.add_argument("--out", default=".", metavar="FOLDER", help="where to write (default: here)")
    parser.add_argument("--html-only", action="store_true", help="no PDF")
    return parser


def main(argv):
    """Write the sheet. Returns the exit status."""
    asked = options().parse_args(argv)
    show = read_show(asked.show, asked.name)
    for fault in show.faults:
        print(f"note: {fault}")
    more = extras(asked.more) if asked.more else {}
    unknown = sorted(set(more) - {fixture.name for fixture in show.rig.fixtures})
    if unknown:
        print(f"note: no lamp is called {', '.join(unknown)}: that line of {asked.more} is not used")
    html = local.folder(asked.out) / f"{file_name(show)}-sheet.html"
    local.write(html, page(show, more))
    print(html)
    if not asked.html_only:
        to_pdf(html, html.with_suffix(".pdf").resolve())
        print(html.with_suffix(".pdf"))
    return 0
