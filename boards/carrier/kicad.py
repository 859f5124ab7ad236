"""Run by the Python that has KiCad 6's `pcbnew`, not by the project's own: makes, routes, checks and plots the carrier.

python3 kicad.py begin|finish JOB.json FOLDER: JOB is what boards/carrier/__main__.py writes. `begin` leaves the board
without tracks and pads.json; `finish` takes tracks.json and leaves carrier.kicad_pcb, Gerbers, drill files, placement,
drc.txt and netlist.json. Two runs, since KiCad reads a board's rules only when it opens it. Imports nothing of ours.
"""

import csv
import json
import pathlib
import sys

import pcbnew

LIBRARY = "/usr/share/kicad/footprints"
LAYERS = (("F_Cu", "F.Cu"), ("B_Cu", "B.Cu"), ("F_Mask", "F.Mask"), ("B_Mask", "B.Mask"), ("F_SilkS", "F.Silkscreen"),
          ("B_SilkS", "B.Silkscreen"), ("F_Paste", "F.Paste"), ("Edge_Cuts", "Edge.Cuts"))


def mm(x, y):
    return pcbnew.wxPointMM(x, y)


def line(board, start, end, layer=pcbnew.Edge_Cuts, wide=0.1):
    shape = pcbnew.PCB_SHAPE(board)
    shape.SetShape(pcbnew.SHAPE_T_SEGMENT)
    shape.SetLayer(layer)
    shape.SetStart(mm(*start))
    shape.SetEnd(mm(*end))
    shape.SetWidth(pcbnew.FromMM(wide))
    board.Add(shape)


def words(board, text, x, y, size=1.0):
    item = pcbnew.PCB_TEXT(board)
    item.SetText(text)
    item.SetPosition(mm(x, y))
    item.SetLayer(pcbnew.F_SilkS)
    item.SetTextSize(pcbnew.wxSizeMM(size, size))
    item.SetTextThickness(pcbnew.FromMM(0.15))
    board.Add(item)


def sockets(board, pads):
    """The controller's sockets as a footprint of its own."""
    made = pcbnew.FOOTPRINT(board)
    made.SetFPID(pcbnew.LIB_ID("halfstop", "sockets"))
    for number, x, y in pads:
        pad = pcbnew.PAD(made)
        pad.SetNumber(str(number))
        pad.SetShape(pcbnew.PAD_SHAPE_RECT if number == 1 else pcbnew.PAD_SHAPE_CIRCLE)
        pad.SetAttribute(pcbnew.PAD_ATTRIB_PTH)
        pad.SetLayerSet(pad.PTHMask())
        pad.SetSize(pcbnew.wxSizeMM(1.7, 1.7))
        pad.SetDrillSize(pcbnew.wxSizeMM(1.0, 1.0))
        pad.SetPos0(mm(x, y))
        pad.SetPosition(mm(x, y))
        made.Add(pad)
    return made


def hole(board, number, x, y):
    made = pcbnew.FootprintLoad(LIBRARY + "/MountingHole.pretty", "MountingHole_2.7mm_M2.5")
    made.SetPosition(mm(x, y))
    made.SetReference(f"H{number}")
    made.Reference().SetVisible(False)
    made.Value().SetVisible(False)
    board.Add(made)


def zone(board, box, net=None):
    """A filled region of a net on both sides; without a net a region that must stay bare."""
    for layer in (pcbnew.F_Cu, pcbnew.B_Cu):
        made = pcbnew.ZONE(board)
        made.SetLayer(layer)
        x0, y0, x1, y1 = box
        edge = 0.0 if net is None else 0.4
        outline = made.Outline()
        outline.NewOutline()
        for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)):
            outline.Append(pcbnew.FromMM(float(x + (edge if x == x0 else -edge))),
                           pcbnew.FromMM(float(y + (edge if y == y0 else -edge))))
        if net is None:
            made.SetIsRuleArea(True)
            made.SetDoNotAllowTracks(True)
            made.SetDoNotAllowVias(True)
            made.SetDoNotAllowCopperPour(True)
            made.SetDoNotAllowPads(False)
            made.SetDoNotAllowFootprints(False)
        else:
            made.SetNet(net)
            made.SetLocalClearance(pcbnew.FromMM(0.3))
            made.SetMinThickness(pcbnew.FromMM(0.25))
        board.Add(made)


def build(job, path):
    """Outline, parts and nets."""
    board = pcbnew.NewBoard(path)
    wide, high = job["size"]
    for start, end in (((0, 0), (wide, 0)), ((wide, 0), (wide, high)), ((wide, high), (0, high)), ((0, high), (0, 0))):
        line(board, start, end)
    nets = {}
    for part in job["parts"]:
        library, name = part["footprint"].split(":")
        made = sockets(board, job["pads"]) if library == "halfstop" else pcbnew.FootprintLoad(
            f"{LIBRARY}/{library}.pretty", name)
        made.SetReference(part["ref"])
        made.SetValue(part["value"])
        made.Value().SetVisible(False)
        board.Add(made)
        x, y, turn = part["place"]
        made.SetPosition(mm(x, y))
        made.SetOrientationDegrees(turn)
        for pad in made.Pads():
            net = part["pins"].get(pad.GetNumber())
            if net:
                if net not in nets:
                    nets[net] = pcbnew.NETINFO_ITEM(board, net)
                    board.Add(nets[net])
                pad.SetNet(nets[net])
    for number, (x, y) in enumerate(job["holes"], 1):
        hole(board, number, x, y)
    for box in job["gaps"]:
        zone(board, box)
    for text, x, y, size in job["words"]:
        words(board, text, x, y, size)
    board.BuildListOfNets()
    return board


def rules(path, job):
    """Widths and distances, where KiCad 6 keeps them: beside the board."""
    project = pathlib.Path(path).with_suffix(".kicad_pro")
    made = json.loads(project.read_text())
    made["net_settings"]["classes"] = [dict(made["net_settings"]["classes"][0], **job["widths"])]
    made["board"]["design_settings"].setdefault("rules", {}).update(job["least"])
    project.write_text(json.dumps(made, indent=2))
    project.with_suffix(".kicad_dru").write_text(job["rules"])


def pads(board):
    """Where the router may end, and what it must not touch: {net, x, y, layers, shape} in mm, turned pads by their
    box."""
    found = []
    for made in board.GetFootprints():
        for pad in made.Pads():
            at, layers = pad.GetPosition(), pad.GetLayerSet()
            box = pad.GetBoundingBox()
            found.append({
                "net": pad.GetNetname() or f"no net {made.GetReference()}-{pad.GetNumber()}-{at.x}", "x": at.x / 1e6,
                "y": at.y / 1e6,
                "layers": [n for n, layer in enumerate((pcbnew.F_Cu, pcbnew.B_Cu)) if layers.Contains(layer)],
                "shape": [box.GetWidth() / 2e6, box.GetHeight() / 2e6, pad.GetShape() == pcbnew.PAD_SHAPE_CIRCLE]})
    return [pad for pad in found if pad["layers"]]


def tracks(board, lines, vias):
    """Put the router's tracks and vias on the board."""
    for net, layer, wide, points in lines:
        for start, end in zip(points, points[1:]):
            made = pcbnew.PCB_TRACK(board)
            made.SetLayer((pcbnew.F_Cu, pcbnew.B_Cu)[layer])
            made.SetWidth(pcbnew.FromMM(wide))
            made.SetStart(mm(*start))
            made.SetEnd(mm(*end))
            made.SetNet(board.FindNet(net))
            board.Add(made)
    for net, x, y in vias:
        made = pcbnew.PCB_VIA(board)
        made.SetPosition(mm(x, y))
        made.SetWidth(pcbnew.FromMM(0.8))
        made.SetDrill(pcbnew.FromMM(0.4))
        made.SetNet(board.FindNet(net))
        board.Add(made)


def plot(board, folder):
    """Gerbers, drill files, placement."""
    control = pcbnew.PLOT_CONTROLLER(board)
    options = control.GetPlotOptions()
    options.SetOutputDirectory(str(folder / "gerber"))
    options.SetUseGerberProtelExtensions(False)
    options.SetCreateGerberJobFile(False)
    options.SetPlotReference(True)
    options.SetPlotValue(False)
    options.SetSubtractMaskFromSilk(True)
    for layer, name in LAYERS:
        control.SetLayer(getattr(pcbnew, layer))
        control.OpenPlotfile(name, pcbnew.PLOT_FORMAT_GERBER, name)
        control.PlotLayer()
        control.ClosePlot()
        control.OpenPlotfile(name, pcbnew.PLOT_FORMAT_SVG, name)
        control.PlotLayer()
        control.ClosePlot()
    drill = pcbnew.EXCELLON_WRITER(board)
    drill.SetFormat(True)
    drill.SetOptions(False, False, pcbnew.wxPoint(0, 0), False)
    drill.CreateDrillandMapFilesSet(str(folder / "gerber"), True, False)
    with open(folder / "placement.csv", "w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(("Ref", "Value", "Package", "PosX", "PosY", "Rot", "Side"))
        for made in sorted(board.GetFootprints(), key=lambda part: part.GetReference()):
            if made.GetReference()[0] != "H":
                at = made.GetPosition()
                rows.writerow((made.GetReference(), made.GetValue(), made.GetFPIDAsString(), f"{at.x / 1e6:.3f}",
                               f"{-at.y / 1e6:.3f}", f"{made.GetOrientationDegrees():g}", "top"))


def netlist(board):
    """{net: [[ref, pad]]} of what the board's copper really joins to which name."""
    found = {}
    for made in board.GetFootprints():
        for pad in made.Pads():
            if pad.GetNetname():
                found.setdefault(pad.GetNetname(), []).append([made.GetReference(), pad.GetNumber()])
    return {net: sorted(map(list, {tuple(pin) for pin in pins})) for net, pins in sorted(found.items())}


def begin(job, folder):
    """The board with its parts and nets, its rules beside it, and what the router must know."""
    path = str(folder / "carrier.kicad_pcb")
    board = build(job, path)
    pcbnew.SaveBoard(path, board)
    rules(path, job)
    (folder / "pads.json").write_text(json.dumps(pads(board)))


def finish(job, folder):
    """Tracks, pours, the check by KiCad's own rules, and the files to order by."""
    path = str(folder / "carrier.kicad_pcb")
    board = pcbnew.LoadBoard(path)
    tracks(board, *json.loads((folder / "tracks.json").read_text()))
    for net, box in job["pours"].items():
        zone(board, box, board.FindNet(net))
    pcbnew.ZONE_FILLER(board).Fill(board.Zones())
    board.BuildConnectivity()
    pcbnew.SaveBoard(path, board)
    pcbnew.WriteDRCReport(board, str(folder / "drc.txt"), pcbnew.EDA_UNITS_MILLIMETRES, True)
    plot(board, folder)
    (folder / "netlist.json").write_text(json.dumps(netlist(board), indent=0))


if __name__ == "__main__":
    {"begin": begin, "finish": finish}[sys.argv[1]](json.loads(pathlib.Path(sys.argv[2]).read_text()),
                                                   pathlib.Path(sys.argv[3]).resolve())
