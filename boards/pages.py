"""The pages of a board and of all: wiring, parts list, line circuit, index. Markdown, as str. building.py has the
order of soldering."""

from boards import chips, circuit, modules, nets, parts, port, rules
from boards.case import places, sizes

MADE = "<!-- Made by `python -m boards` from boards/{}.py: change that file, not this one. -->\n"
DANGER = (
    "**DMX512 is never for anything that can injure**: no pyrotechnics, hoists, lifts or moving loads (ANSI E1.11 "
    "says so). Nothing on this page touches mains voltage. Lamps, dimmers and their cables do: leave those to what is "
    "made for it, to local codes and to a licensed electrician.")
STATUS = (
    "**No unit has been built yet.** The firmware runs on emulated hardware, and circuit, board and case are computed "
    "and "
    "checked by rules; what only a builder can tell is on [this list]({}status.md). Build one only if you can measure "
    "and mend.")


def where(board, to):
    """Where a wire goes, in words."""
    if isinstance(to, tuple):
        return f"{to[0]}: {to[1]}"
    label = to[:-4] if isinstance(to, str) and to.endswith(" pin") else to
    place = modules.place(board.MODULE, label) if label not in ("GND", "3V3", "5V") or label != to else None
    if place is None:
        return f"{to} rail"
    return f"{modules.name(board.MODULE, label)}, {modules.number(board.MODULE, *place)}"


def table(head, rows):
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]) + "\n"


def wiring(board):
    """The wiring page: the picture, one table row a wire, and every component with its nets."""
    rows = []
    for unit in nets.units(board):
        title = unit["title"] + (" (option)" if nets.optional(board, unit) else "")
        rows += [(title if not n else "", label, where(board, to), colour, note)
                 for n, (label, to, colour, note) in enumerate(unit["pins"])]
    ground = modules.place(board.MODULE, "GND")
    rows.append(("Ground rail", "", f"GND, {modules.number(board.MODULE, *ground)}", "black", "every GND pin will do"))
    components = [(component.ref, parts.PARTS[component.part].title, component.unit,
                   ", ".join(f"{pin}: {net}" for pin, net in component.pins.items()))
                  for component in circuit.components(board)[1:]]
    return (MADE.format(board.NAME) + f"# {board.NAME}: wiring\n\n{DANGER}\n\n![wiring](wiring.svg)\n\n"
            f"{modules.TITLE[board.MODULE]} ({chip_name(board)}), pins counted {_count(board)}. From memory of its "
            "pin-out sheet: compare with the print on yours. The controller's own 3.3 V pin stays open: all that is "
            f"outside it hangs behind F1. {_open(board)}\n\n## Wires\n\n"
            + table(("block", "its net", "goes to", "wire", "note"), rows)
            + "\n## Every component\n\nThe [line circuit](../line_circuit.md) says why. Pins that are not named stay "
              "open.\n\n"
            + table(("ref", "part", "block", "its pins"), components))


def _open(board):
    pins = [modules.name(board.MODULE, pin) for pin in chips.opened(board)]
    if not pins:
        return ""
    return (f"**{' and '.join(pins)} must stay open**: the chip drives them while it listens. So must the pins of "
            f"start "
            "and flash: " + ", ".join(f"IO{pin}" for pin in chips.RESERVED[board.CHIP]
                                     if modules.place(board.MODULE, pin)) + ".")


def chip_name(board):
    """RP2040, RP2350, RP2350 + Wi-Fi, ESP32-S3."""
    radio = " + Wi-Fi" if getattr(board, "WIFI", False) and board.MODULE == "pico" else ""
    return board.CHIP.upper().replace("32S", "32-S") + radio


def _count(board):
    return "round from the top left, USB up" if board.MODULE == "pico" else "down each side, USB at the foot"


def parts_list(board):
    """The parts page: what, how many, what to look for, what it costs about, what it draws."""
    def rows(keys):
        weight = {"case": f", about {places.grams(board)} g"}
        return [(parts.PARTS[key].title, count, parts.PARTS[key].look + weight.get(key, ""),
                 parts.PARTS[key].makers, cost({key: count}))
                for key, count in keys.items()]
    low, high = parts.cost(parts.needed(board))
    head = ("part", "pieces", "look for", "for instance", "US$, estimate")
    budget = [(name, f"{draw:.0f}", f"{limit:.0f}", f"{1 - draw / limit:.0%}")
              for name, draw, limit in rules.budget(board)]
    refs = [(parts.PARTS[key].title, ", ".join(component.ref for component in circuit.components(board)
                                               if component.part == key))
            for key in parts.needed(board) if parts.PARTS[key].footprint]
    return (MADE.format(board.NAME) + f"# {board.NAME}: parts\n\n"
            "Costs are estimates for single pieces from hobby shops, without shipping, made without a price list. Part "
            "numbers are from memory: hold each against its data sheet before you order. "
            f"All that is needed: about **US$ {low:.0f} to {high:.0f}**.\n\n" + table(head, rows(parts.needed(board)))
            + "\n## Options\n\n" + table(head, rows(dict.fromkeys(parts.OPTIONS, 1))) + "\n## Which is which\n\n"
            + table(("part", "on the board"), refs) + "\n## Current\n\nEvery port driving a fully terminated line; "
                                                      "typical "
            "figures, from memory of data sheets. A third of each supply is to spare, or `python -m boards check` "
            "says so.\n\n"
            + table(("supply", "draws, mA", "gives, mA", "to spare"), budget))


def cost(keys):
    """ "4 to 12" for {key: quantity}."""
    low, high = parts.cost(keys)
    return f"{low:.2g} to {high:.2g}" if high < 10 else f"{low:.0f} to {high:.0f}"


def line_circuit(board):
    """The page about the circuit behind a port, the same on every board; its parts are those of port A and B of
    `board`."""
    rows = []
    for number, line in enumerate(board.LINES, 1):
        for component in circuit.port(board, number, line):
            if number == 1 or component.part in ("r120", "toggle"):
                rows.append((component.ref, parts.PARTS[component.part].title, parts.PARTS[component.part].makers,
                             ", ".join(f"{pin}: {net}" for pin, net in component.pins.items())))
    return (MADE.format("circuit") + LINE_HEAD.format(danger=DANGER)
            + table(("ref", "part", "for instance", "its pins"), rows)
            + LINE_WHY + "## The sums\n\n" + table(("what", "how", "result"), port.sums()) + LINE_END)


LINE_HEAD = """# The circuit behind a DMX512 port

What stands between the chip's pins and the connector, the same for every port. {danger}

The far end of a DMX512 cable may carry what it should not: lamps run on mains and faults happen. So the data line is
isolated, which breaks ground loops and keeps surges from the controller and from what its USB hangs on. The converter's
1 kV test voltage is the weakest part. **It is no barrier against mains**: a lamp with a damaged cable, plug or housing
is not connected at all.

![port A](port.svg)

Refs of the first port (an out) and what an in has in place of it: a switch for its end resistor, and no bias.

"""

LINE_WHY = """
* **Transceiver**: 500 kbit/s (DMX512 has 250), half duplex, fail-safe: an open or shorted line reads as idle. `drive`
  is DE joined with /RE: 1 drives. While the chip starts its pins float, and 10 kohm keep the driver off. 10 kohm more
  keep the receiver's output high while it is switched off.
* **A is data + (pin 3), B is data - (pin 2)**, isolated ground is pin 1: A is high while the line rests. Makers
  disagree on the letters; the self-test finds a swapped pair.
* **Termination**: 120 ohm at both ends of a line. An out is an end: fitted. An in is one only when it is the last
  device: its switch. The last lamp carries a terminator plug.
* **Bias**: 357 ohm from data + to the isolated 3.3 V and from data - to the isolated ground, on the out alone: one
  place on a line. RDM (ANSI E1.20) wants 245 mV or more across the terminated line at rest.
* **Surge and static**: a clamp from both data lines to the isolated ground, right at the connector; 470 pF (class Y1)
  from the isolated ground to the controller's, so that a spark has a way out. No resistor in the data leads: the sums
  say why; the transceiver's bus pins stand 16 kV contact discharge by its data sheet (from memory).
* **Supply**: converter from the 5 V behind F1, then a regulator: the converter's output climbs when the load is small.

"""

LINE_END = f"""
Figures of parts and standards are from memory (`boards/port.py`); tests hold the sums to a network solver and to
ngspice.

## A ready-made module in place of it
What is sold as isolated RS-485 module will do in place of U11 to J11 if it has **all** of this: isolated supply on
board; separate DE and RE pins (no automatic direction: that holds the line too late, and the receiver cannot be told to
listen); 500 kbit/s; 3.3 V logic; 5 V supply, or 3.3 V at no more than {port.line_ma() * port.CONVERTER_V /
(port.EFFICIENCY * 3.3):.0f} mA. Take its own 120 ohm off, and fit end resistor, bias and clamp as above. Its budget is
then yours to add up: integrated isolated transceivers draw about 125 mA into a terminated line (from memory).

What the chip does on those pins: RP2040/RP2350 by PIO and DMA (`hal/rp2/line.py`), ESP32-S3 by UART
(`hal/line_uart.py`). An in has the same driver as an out, so it can answer a desk by RDM (ANSI E1.20), where the page
Feed says so: by its circuit on every board, by its chip on RP2040/RP2350 alone (`hal/rp2/rdm_in.py`); the ESP32's UART
could neither answer within 2.0 ms nor let go in time. While the chip restarts (watchdog, 2 s) the port idles for a
moment and then sends the light that was on: receivers hold their last packet meanwhile (common practice; ANSI E1.11
leaves it to the receiver).
"""


def carrier(folder):
    """The page of a carrier board."""
    served = [name for name, found in CARRIED.items() if found == folder]
    return MADE.format("pages") + CARRIER.format(
        status=STATUS.format("../"), size=places_size("pico"), danger=DANGER, boards=" and ".join(served),
        sides="sides" if served != ["pico_oled"] else "side")


def places_size(module):
    """ "80 x 55 mm" of the board."""
    wide, high = sizes.BOARD[module]
    return f"{wide:.0f} x {high:.0f} mm"


CARRIER = """# The carrier board for {boards}

{status}

{danger}

![both copper layers and the print](carrier.png)

Two layers, {size}, 1.6 mm, 35 um copper. Red is the upper side, blue the lower one. No copper in the white gap, 3 mm
wide, round the isolated {sides}: KiCad's design rules hold it at that, and at the pads of converter and transceiver it
is the parts' own distance. A gap of 3 mm is for the 1 kV test of the converter, not for mains.

| file | for |
|---|---|
| [gerber.zip](gerber.zip) | the maker: Gerbers and Excellon drill files |
| [schematic.pdf](schematic.pdf) | you |
| [parts.csv](parts.csv), [placement.csv](placement.csv) | whoever fits transceivers and clamps for you |
| [kicad.zip](kicad.zip) | changes by hand in KiCad 6 or later |

Made by `python -m boards.carrier` from the circuit and `boards/carrier/layout.py`: placed by hand, routed by script,
checked by KiCad 6 (no error, nothing unconnected; its warnings are about print that overlaps), its netlist held to the
circuit. Compare pads with the parts in your hand before you order: sizes are KiCad's, the parts' numbers from memory.
There is no STEP file: KiCad's own exporter makes one of `kicad.zip` (it wants a desktop).
"""


def ports(board):
    """The ports of a board in words, and how many lamps they have."""
    words = ", ".join(line["use"] for line in board.LINES)
    if not hasattr(board, "UNIVERSES"):
        return words + "; one universe, 64 lamps"
    return f"{words} or a second out; {board.UNIVERSES} universes, {board.LAMPS} lamps"


def index(all_boards):
    """The page that compares the boards."""
    rows = []
    for board in all_boards:
        panel = board.PANEL
        low, high = parts.cost(parts.needed(board))
        carrier = f" [carrier]({CARRIED[board.NAME]}/README.md)" if board.NAME in CARRIED else ""
        carrier += f" [perforated board]({board.NAME}/perfboard.md)"
        rows.append((f"**{board.NAME}**", chip_name(board), f"{panel['width']}x{panel['height']} {panel['driver']}",
                     ports(board), f"{low:.0f} to {high:.0f}",
                     " ".join(f"[{page}]({board.NAME}/{page}.md)" for page in ("wiring", "parts", "build"))
                     + f" [case]({board.NAME}/case.png)" + carrier))
    return (MADE.format("*") + "# Building one\n\n" + STATUS.format("") + "\n\n" + DANGER + "\n\n"
            + table(("board", "chip", "panel", "DMX512 ports", "parts, US$ (estimate)", "pages"), rows) + INDEX)


# The boards that have a carrier board to order, and its folder.
CARRIED = {"pico2_tft": "carrier_pico", "pico_tft": "carrier_pico", "pico_oled": "carrier_pico_oled"}
INDEX = """
## Which board to buy first
**pico2_tft** (a Pico 2): the most room for the firmware, and the fast heap. **pico_tft** is wired alike, so a Pico that
you have will do. **pico_oled** is the cheapest, one port out. **pico2_w_tft** (a Pico 2 W) is for sACN by Wi-Fi; its
radio has the pins that a Pico measures its supply with, so that R1, R2 and C3 do that, which the carrier board has no
place for: take a perforated board. **s3_tft** only if you have that controller: it sends 40 packets a second by UART,
and its carrier is a perforated board.

The antenna of a controller with Wi-Fi is at the end away from its USB socket: keep wires, screws and copper 10 mm off
it (common practice, no source).

## The second port as an out
Boards with two ports send a second universe by port 2, once **Settings, Port 2** on the device says "sends" and it has
started again; then no cable brings a feed in (sACN still does). Nothing in the wiring changes, but:
* The plug of port 2 is that of an in: a cable with two female plugs, or a turnaround, leads from it to the lamps.
* Close its switch, which puts 120 ohm on its end of the line. It has no bias, so RDM is asked on port 1 alone.
* A desk that is still plugged in there would drive against the pocket: unplug it first.
* An RP2040 has memory for 64 lamps on both together: 64 more take 16.7 KB of heap (MicroPython's 32-bit VM, after the
  start), and its largest page leaves 21.8 KB with 64 ([CHIP.md](../CHIP.md)).

## How long, and with what
An evening to solder, a day for the printer: about 9 hours for the tub and 4 for the front at 0.2 mm (estimate, no
slicer was asked). Tools: soldering iron with a fine tip, multimeter, side cutter, tweezers, screwdrivers for M2.5 and
M3, drill of 11 mm for the foot switch's jack, a flux pen for the transceiver's sixteen legs, eye protection.

## The case
Two printed parts a board, `case-tub.stl` and `case-front.stl`, lying as they are to be printed: PETG or ASA (a car in
the sun softens PLA), 0.2 mm layers, three lines a wall, 25 % fill, no supports. Four M3 x 35 countersunk screws from
the back into heat-set inserts in the front's corner posts; the panel and the strip with the keys are held by M2.5 x 6
screws and washers on the small posts; the board by M2.5 x 6 on its standoffs; each XLR by two M3 x 12 with nuts; the
encoder by its own nut. The switch for the input's 120 ohm sits in the right wall. For hanging on a stand slide a hex
nut, 1/4-20 or 3/8-16, into its pocket before closing, and add a safety cord. A foot switch's jack: drill 11 mm at the
mark in the top wall. Ties go through the anchors on the floor, and round the USB cable through the two slots beside it.

The measures are typical ones, written down from memory in `boards/case/sizes.py`: measure your panel, sockets and
controller first, change what differs, run `python -m boards.case`, and print the front before the tub. The panel is a
2.8 inch one on a board of 86 x 50 mm (or the 1.3 inch OLED); smaller TFT panels do not fit its window.

## Licence
What is in this folder is under the [CERN-OHL-P v2](LICENSE.txt): make it, change it, sell it, without warranty.
"""
