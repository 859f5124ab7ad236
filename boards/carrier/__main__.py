"""python -m boards.carrier: make the carrier board's files (minutes). python -m boards.carrier check: compare them.

Making needs KiCad 6's Python (Debian: kicad, kicad-footprints), gerbv and chromium; comparing needs neither: it holds
the hash of what the board was made from, of each file, KiCad's verdict and its netlist to boards/circuit.py.
"""

import csv
import hashlib
import io
import json
import pathlib
import shutil
import subprocess
import sys
import zipfile

import boards
from boards import circuit, parts, schematic
from boards.__main__ import DOCS, ROOT
from boards.carrier import layout, route

BOARD = "pico_tft"  # pico2_tft is wired alike
FOLDER = DOCS / "carrier_pico"
# Pads that stay open, by part: they belong to a side, and the gap's rule must know to which.
_OPEN = {"transceiver": (("7", False), ("10", True), ("11", True), ("14", True)), "converter": (("4", True),)}
_GAP = """(rule gap_{0} (constraint clearance (min {1}mm))
  (condition "A.NetName == '{0} *' && B.NetName != '{0} *'"))
"""


def job():
    """All that the board is made from, as plain data."""
    board, places = boards.load(BOARD), layout.places()
    rules = "(version 1)\n" + "".join(_GAP.format(letter, layout.GAP) for letter in "AB")
    return {
        "size": layout.SIZE, "pads": layout.pico_pads(), "holes": layout.HOLES, "gaps": layout.GAPS,
        "pours": layout.POURS, "rules": rules,
        "parts": [_part(component, places[component.ref]) for component in circuit.components(board)],
        "words": [["halfstop carrier, Pico", 65.0, 53.2, 1.1], ["USB", 3.5, 38.0, 1.2], ["isolated A", 19.0, 15.0, 1.0],
                  ["isolated B", 59.0, 15.0, 1.0]],
        "widths": {"clearance": route.CLEAR, "track_width": route.TRACK, "via_diameter": route.VIA, "via_drill": 0.4},
        "least": {"min_clearance": 0.2, "min_track_width": 0.2, "min_copper_edge_clearance": 0.4,
                  "min_through_hole_diameter": 0.3, "min_via_diameter": 0.6},
    }


def _part(component, place):
    pins = {pin.split()[0]: net for pin, net in component.pins.items()}
    for number, isolated in _OPEN.get(component.part, ()):
        pins[number] = f"{component.unit[-1] + ' ' if isolated else ''}open {component.ref}-{number}"
    part = parts.PARTS[component.part]
    return {"ref": component.ref, "value": part.title, "footprint": part.footprint, "place": place, "pins": pins}


def source():
    """Hash of what the board is made from."""
    return hashlib.sha256(json.dumps(job(), sort_keys=True).encode()).hexdigest()


def problems():
    """What is not as it should be: list of sentences."""
    made = json.loads((FOLDER / "made.json").read_text()) if (FOLDER / "made.json").exists() else {}
    again = "run python -m boards.carrier"
    if made.get("source") != source():
        return [f"{FOLDER.relative_to(ROOT)} is of another circuit or layout: {again}"]
    found = [f"{name} is missing or was changed: {again}" for name, was in made["files"].items()
             if not (FOLDER / name).exists() or digest(FOLDER / name) != was]
    if made["errors"]:
        found.append(f"KiCad's design rules found {made['errors']} errors on the carrier")
    theirs = {net: sorted(map(tuple, pins)) for net, pins in made["netlist"].items() if "open " not in net}
    for name in carried():
        if theirs != {net: sorted(pins) for net, pins in circuit.nets(boards.load(name)).items()}:
            found.append(f"the carrier's netlist is not that of {name}: {again}")
    return found


def carried():
    """The boards that this carrier serves."""
    wanted = circuit.nets(boards.load(BOARD))
    return [name for name in boards.NAMES if circuit.nets(boards.load(name)) == wanted]


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def parts_csv():
    """The parts list for whoever fits the board: ref, part, footprint, maker's number."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(("Designator", "Comment", "Footprint", "Part number"))
    for component in circuit.components(boards.load(BOARD)):
        part = parts.PARTS[component.part]
        rows.writerow((component.ref, part.title, part.footprint.partition(":")[2], part.makers))
    return text.getvalue()


def make(work):
    """All files, in a folder to work in; then those to keep."""
    (work / "job.json").write_text(json.dumps(job()))
    script = [shutil.which("python3", path="/usr/bin"), str(pathlib.Path(__file__).parent / "kicad.py")]
    subprocess.run([*script, "begin", work / "job.json", work], check=True)
    routed(work)
    subprocess.run([*script, "finish", work / "job.json", work], check=True)
    FOLDER.mkdir(exist_ok=True)
    gerbers = [path for path in sorted((work / "gerber").iterdir()) if path.suffix in (".gbr", ".drl")]
    for name, files in (("gerber.zip", gerbers), ("kicad.zip", [work / f"carrier.kicad_{end}" for end in
                                                                ("pcb", "pro", "dru")])):
        with zipfile.ZipFile(FOLDER / name, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in files:
                archive.write(path, path.name)
    shutil.copy(work / "placement.csv", FOLDER)
    (FOLDER / "parts.csv").write_text(parts_csv())
    pictures(work)
    verdict = (work / "drc.txt").read_text()
    kept = sorted(path for path in FOLDER.iterdir() if path.suffix in (".zip", ".csv", ".pdf", ".png"))
    (FOLDER / "made.json").write_text(json.dumps({
        "source": source(), "errors": verdict.count("Severity: error"), "warnings": verdict.count("Severity: warning"),
        "files": {path.name: digest(path) for path in kept},
        "netlist": json.loads((work / "netlist.json").read_text())}, separators=(",", ":")))


def routed(work):
    """Leave tracks.json; what was routed before, with the same pads and the same router, is kept."""
    pads = (work / "pads.json").read_bytes()
    mark = hashlib.sha256(pads + pathlib.Path(route.__file__).read_bytes()).hexdigest()
    done = work / "routed.txt"
    if done.exists() and done.read_text() == mark:
        return
    router = route.Router(layout.SIZE, json.loads(pads), layout.GAPS, layout.HOLES)
    failed = router.route(last=("GND",))
    if failed:
        raise SystemExit(f"no way was found for {', '.join(failed)}: move parts in boards/carrier/layout.py")
    (work / "tracks.json").write_text(json.dumps(router.tracks()))
    done.write_text(mark)


def pictures(work):
    """carrier.png of the Gerbers as another program reads them, and schematic.pdf."""
    from playwright.sync_api import sync_playwright

    ink = {"F_Silkscreen": "#101010ff", "F_Cu": "#d0303099", "B_Cu": "#2e6fd099", "Edge_Cuts": "#101010ff"}
    layers = [word for name, colour in ink.items()
              for word in ("-f", colour, str(work / "gerber" / f"carrier-{name}.gbr"))]
    subprocess.run(["gerbv", "-x", "png", "-D", "330", "-b", "#ffffff", "-o", str(FOLDER / "carrier.png"), *layers],
                   check=True, stderr=subprocess.DEVNULL)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content('<body style="margin:0">'
                         + schematic.whole(boards.load(BOARD)).replace("<svg ", '<svg width="1500" ', 1))
        page.pdf(path=FOLDER / "schematic.pdf", width="400mm", height="400mm", print_background=True)
        browser.close()


def main(argv):
    """Returns the exit status."""
    if argv != ["check"]:
        work = ROOT / "build/carrier"
        work.mkdir(parents=True, exist_ok=True)
        make(work)
    found = problems()
    print("".join(sentence + "\n" for sentence in found), end="", file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
