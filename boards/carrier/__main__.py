"""python -m boards.carrier: make the carrier boards' files (minutes). python -m boards.carrier check: compare them.
python -m boards.carrier NAME makes one, of CARRIERS.

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

CARRIERS = {"carrier_pico": "pico_tft", "carrier_pico_oled": "pico_oled"}  # a folder for each; pico2_tft is as pico_tft
# Pads that stay open, by part: they belong to a side, and the gap's rule must know to which.
_OPEN = {"transceiver": (("7", False), ("10", True), ("11", True), ("14", True)), "converter": (("4", True),)}
_GAP = """(rule gap_{0} (constraint clearance (min {1}mm))
  (condition "A.NetName == '{0} *' && B.NetName != '{0} *'"))
"""


def job(name):
    """All that a carrier is made from, as plain data."""
    board, places = boards.load(CARRIERS[name]), layout.places()
    ports = len(board.LINES)
    rules = "(version 1)\n" + "".join(_GAP.format(letter, layout.GAP) for letter in circuit.PORT[:ports])
    title = "halfstop carrier, Pico" + (", OLED" if ports == 1 else "")
    return {
        "size": layout.SIZE, "pads": layout.pico_pads(), "holes": layout.HOLES, "gaps": layout.gaps(ports),
        "pours": layout.pours(ports), "rules": rules,
        "parts": [_part(component, places[component.ref]) for component in circuit.components(board)],
        "words": [[title, 65.0, 53.2, 1.1], ["USB", 3.5, 38.0, 1.2], ["isolated A", 19.0, 15.0, 1.0],
                  ["isolated B", 59.0, 15.0, 1.0]][:2 + ports],
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


def source(name):
    """Hash of what a carrier is made from."""
    return hashlib.sha256(json.dumps(job(name), sort_keys=True).encode()).hexdigest()


def problems(name):
    """What is not as it should be with a carrier: list of sentences."""
    folder, again = DOCS / name, f"run python -m boards.carrier {name}"
    made = json.loads((folder / "made.json").read_text()) if (folder / "made.json").exists() else {}
    if made.get("source") != source(name):
        return [f"{folder.relative_to(ROOT)} is of another circuit or layout: {again}"]
    found = [f"{name}/{file} is missing or was changed: {again}" for file, was in made["files"].items()
             if not (folder / file).exists() or digest(folder / file) != was]
    if made["errors"]:
        found.append(f"KiCad's design rules found {made['errors']} errors on {name}")
    theirs = {net: sorted(map(tuple, pins)) for net, pins in made["netlist"].items() if "open " not in net}
    for board in carried(name):
        if theirs != {net: sorted(pins) for net, pins in circuit.nets(boards.load(board)).items()}:
            found.append(f"the netlist of {name} is not that of {board}: {again}")
    return found


def carried(carrier):
    """The boards that a carrier serves."""
    wanted = circuit.nets(boards.load(CARRIERS[carrier]))
    return [name for name in boards.NAMES if circuit.nets(boards.load(name)) == wanted]


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def parts_csv(board):
    """The parts list for whoever fits the board: ref, part, footprint, maker's number."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(("Designator", "Comment", "Footprint", "Part number"))
    for component in circuit.components(board):
        part = parts.PARTS[component.part]
        rows.writerow((component.ref, part.title, part.footprint.partition(":")[2], part.makers))
    return text.getvalue()


def make(name, work):
    """All files of a carrier, in a folder to work in; then those to keep."""
    folder, board = DOCS / name, boards.load(CARRIERS[name])
    (work / "job.json").write_text(json.dumps(job(name)))
    script = [shutil.which("python3", path="/usr/bin"), str(pathlib.Path(__file__).parent / "kicad.py")]
    subprocess.run([*script, "begin", work / "job.json", work], check=True)
    routed(work, layout.gaps(len(board.LINES)))
    subprocess.run([*script, "finish", work / "job.json", work], check=True)
    folder.mkdir(exist_ok=True)
    gerbers = [path for path in sorted((work / "gerber").iterdir()) if path.suffix in (".gbr", ".drl")]
    for zipped, files in (("gerber.zip", gerbers), ("kicad.zip", [work / f"carrier.kicad_{end}" for end in
                                                                ("pcb", "pro", "dru")])):
        with zipfile.ZipFile(folder / zipped, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in files:
                archive.write(path, path.name)
    shutil.copy(work / "placement.csv", folder)
    (folder / "parts.csv").write_text(parts_csv(board))
    pictures(board, folder, work)
    verdict = (work / "drc.txt").read_text()
    kept = sorted(path for path in folder.iterdir() if path.suffix in (".zip", ".csv", ".pdf", ".png"))
    (folder / "made.json").write_text(json.dumps({
        "source": source(name), "errors": verdict.count("Severity: error"),
        "warnings": verdict.count("Severity: warning"),
        "files": {path.name: digest(path) for path in kept},
        "netlist": json.loads((work / "netlist.json").read_text())}, separators=(",", ":")))


def routed(work, gaps):
    """Leave tracks.json; what was routed before, with the same pads and the same router, is kept."""
    pads = (work / "pads.json").read_bytes()
    mark = hashlib.sha256(pads + pathlib.Path(route.__file__).read_bytes()).hexdigest()
    done = work / "routed.txt"
    if done.exists() and done.read_text() == mark:
        return
    router = route.Router(layout.SIZE, json.loads(pads), gaps, layout.HOLES)
    failed = router.route(last=("GND",))
    if failed:
        raise SystemExit(f"no way was found for {', '.join(failed)}: move parts in boards/carrier/layout.py")
    (work / "tracks.json").write_text(json.dumps(router.tracks()))
    done.write_text(mark)


def pictures(board, folder, work):
    """carrier.png of the Gerbers as another program reads them, and schematic.pdf."""
    from playwright.sync_api import sync_playwright

    ink = {"F_Silkscreen": "#101010ff", "F_Cu": "#d0303099", "B_Cu": "#2e6fd099", "Edge_Cuts": "#101010ff"}
    layers = [word for name, colour in ink.items()
              for word in ("-f", colour, str(work / "gerber" / f"carrier-{name}.gbr"))]
    subprocess.run(["gerbv", "-x", "png", "-D", "330", "-b", "#ffffff", "-o", str(folder / "carrier.png"), *layers],
                   check=True, stderr=subprocess.DEVNULL)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content('<body style="margin:0">'
                         + schematic.whole(board).replace("<svg ", '<svg width="1500" ', 1))
        page.pdf(path=folder / "schematic.pdf", width="400mm", height="400mm", print_background=True)
        browser.close()


def main(argv):
    """Returns the exit status."""
    if argv != ["check"]:
        for name in argv or CARRIERS:
            work = ROOT / "build" / name
            work.mkdir(parents=True, exist_ok=True)
            make(name, work)
    found = [sentence for name in CARRIERS for sentence in problems(name)]
    print("".join(sentence + "\n" for sentence in found), end="", file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
