"""The pages of a board: wiring table, parts list, soldering order with the first power-up. Markdown, as str."""

from boards import modules, nets, parts

MADE = "<!-- Made by `python -m boards` from boards/{}.py: change that file, not this one. -->\n"
DANGER = (
    "**DMX512 is never for anything that can injure**: no pyrotechnics, hoists, lifts or moving loads (ANSI E1.11 "
    "says so). Nothing on this page touches mains voltage. Lamps, dimmers and their cables do: leave those to what is "
    "made for it, to local codes and to a licensed electrician.")
STEP = {  # what to do at each unit, in words; the wires follow from the board file
    "fuse": "Bring 3.3 V from the controller to the rail through F1 only. The fuse goes first: a slip in any later "
            "step then trips it in place of burning a trace.",
    "panel": "Mount the panel in its window first, then solder; 100 nF between VCC and GND at the panel. Read the "
             "print on your module: the order of its pins differs from maker to maker.",
    "oled": "Mount the panel in its window first, then solder; 100 nF between VCC and GND at the panel. VCC and GND "
            "change places on some of these modules: read the print.",
    "knob": "The encoder is bare: its common pin C goes to ground, A and B straight to the controller, which pulls "
            "them up.",
    "keys": "Each key closes to ground. Four-legged keys join two legs inside: use two that are diagonal.",
    "port": "100 nF between VCC and GND at the module, 10 kohm from the joined DE and RE to GND: it keeps the driver "
            "silent until the firmware runs. Some modules swap the names of A and B: data + is the end that is "
            "positive while the line rests. Some carry 120 ohm across A and B: take it off.",
    "XLR": "Twist the two data wires. Pin 1 goes to the isolated ground, **never** to GND or to the shell: that would "
           "undo the isolation. Pins 4 and 5 stay free. Fix the socket with both screws: the cable pulls on them.",
    "supply": "Two 100 kohm resistors in series from the 5 V pin to GND, their middle to the meter pin with 100 nF "
              "to GND.",
    "buzzer": "Either way round.",
    "foot": "A plain jack. Nothing but a switch may be plugged in there.",
}


def where(board, to):
    """Where a wire goes, in words."""
    if isinstance(to, tuple):
        return f"{to[0]}: {to[1]}" if to[1] != "end" else "the socket itself"
    label = to[:-4] if isinstance(to, str) and to.endswith(" pin") else to
    place = modules.place(board.MODULE, label) if label not in ("GND", "3V3") or label != to else None
    if place is None:
        return f"{to} rail"
    return f"{modules.name(board.MODULE, label)}, {modules.number(board.MODULE, *place)}"


def table(head, rows):
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]) + "\n"


def wiring(board):
    """The wiring page: the picture, one table row a wire, and the circuit that each port expects."""
    rows = []
    for unit in nets.units(board):
        title = unit["title"] + (" (option)" if nets.optional(board, unit) else "")
        rows += [(title if not n else "", label, where(board, to), colour or "-", note)
                 for n, (label, to, colour, note) in enumerate(unit["pins"])]
    ground = modules.place(board.MODULE, "GND")
    rows.append(("Ground rail", "", f"GND, {modules.number(board.MODULE, *ground)}", "black", "any GND pin will do"))
    return (MADE.format(board.NAME) + f"# {board.NAME}: wiring\n\n{DANGER}\n\n![wiring](wiring.svg)\n\n"
            f"{modules.TITLE[board.MODULE]} ({chip_name(board)}), pins counted {_count(board)}. From memory of its "
            "pin-out sheet: compare with the print on yours.\n\n"
            + table(("part", "its pin", "goes to", "wire", "note"), rows) + "\n" + PORTS)


def chip_name(board):
    """RP2040, RP2350, ESP32-S3."""
    return board.CHIP.upper().replace("32S", "32-S")


def _count(board):
    return "round from the top left, USB up" if board.MODULE == "pico" else "down each side, USB at the foot"


PORTS = """## The circuit behind a port
An isolated RS-485 transceiver with its own isolated supply stands between the controller and the line. It breaks
ground loops between lamps on different circuits and keeps surges on the line from the controller and from what its
USB hangs on. It is no barrier against mains: a lamp with a damaged cable, plug or housing is not connected at all.

* **Out** (female XLR-5): the last lamp ends the line with 120 ohm between data + and data - (a terminator plug).
  Nothing is to be set at this end.
* **In** (male XLR-5): the switch puts 120 ohm across the pair when this is the last device on the line. Open it when
  another device listens on.
* **RDM** (ANSI E1.20) wants the resting line held: with the option *line bias*, 680 ohm from data + to the module's
  isolated supply and 680 ohm from data - to its isolated ground, on the out port only. (Values from memory of the
  standard's example for 5 V; a fail-safe receiver rests well without on short lines.)
* Pin 1 is the isolated ground. The shell of the socket, the case screws and GND stay clear of it.
* Up to 32 unit loads and some 300 m of cable made for DMX512 (120 ohm); microphone cable is not.
"""


def parts_list(board):
    """The parts page: what, how many, what to look for, what it costs about."""
    def rows(pairs):
        return [(parts.PARTS[key][0], count, parts.PARTS[key][1], cost(key, count)) for key, count in pairs]
    low, high = (sum(parts.PARTS[key][at] * count for key, count in board.PARTS) for at in (3, 4))
    head = ("part", "pieces", "look for", "US$, estimate")
    return (MADE.format(board.NAME) + f"# {board.NAME}: parts\n\n"
            "Costs are estimates for single pieces from hobby shops, without shipping, made without a price list. "
            f"All that is needed: about **US$ {low:.0f} to {high:.0f}**.\n\n" + table(head, rows(board.PARTS))
            + "\n## Options\n\n" + table(head, rows(board.OPTIONS)) + "\n## Current\n\n"
            f"About {parts.rail_ma(board)} mA from the 3.3 V pin with every port driving (typical figures, from memory "
            f"of data sheets), of the {parts.RAIL_MA[board.MODULE]} mA that it may give; about "
            f"{parts.rail_ma(board) * 0.8:.0f} mA from USB at 5 V.\n")


def cost(key, count):
    """ "4 to 12" for so many pieces."""
    low, high = (parts.PARTS[key][at] * count for at in (3, 4))
    return f"{low:.2g} to {high:.2g}" if high < 10 else f"{low:.0f} to {high:.0f}"


def building(board):
    """The build page: cautions, the order of soldering, the first power-up."""
    steps = [f"{number}. **{unit['title']}**{' (option)' if nets.optional(board, unit) else ''}. {_step(unit)}"
             for number, unit in enumerate(nets.units(board), 2)]
    return (MADE.format(board.NAME) + f"# {board.NAME}: soldering and first power\n\n{CAUTIONS}\n## Order\n\n"
            "Low parts first, sockets and cables last. The wires of each step: [wiring](wiring.md).\n\n"
            "1. **Controller**. Solder its two sockets to the perforated board, lay the 3.3 V and GND rails (10 uF "
            "between them), and leave the controller itself **out** until the checks below are done.\n"
            + "\n".join(steps) + f"\n{len(steps) + 2}. **Case**. Inserts, panel, keys and knob into the front; sockets "
            "into the back; tie every cable down within 2 cm of where it enters (strain relief), then close it.\n\n"
            + checklist(board))


def _step(unit):
    kind = unit["name"].split()[0]
    return STEP["oled" if unit["part"] == "oled" else kind]


CAUTIONS = f"""{DANGER}

* **Isolate the line.** Use only isolated RS-485 modules: a plain one joins the ground of every lamp to the USB port.
  Even so it is no barrier against mains: never connect a lamp with a damaged cable, plug or housing.
* **Polarity.** Red is +, black is ground, everywhere. A module fed the wrong way round is gone, and hot.
* **Fuse.** Everything outside the controller hangs behind F1. Never bridge it; a fuse that trips has a reason.
* **Batteries.** Feed it from a USB power bank of a known maker. Don't solder to lithium cells, don't charge them in
  this case, and throw away a bank that is swollen, crushed or wet.
* **Heat.** The iron is at 350 degrees C: stand, ventilation, eye protection, hands washed after leaded solder. In use,
  nothing in the case should be too hot to hold a finger on; if it is, pull the plug.
* **Strain.** People will trip over the cables: tie each one down inside, and hang the box by its stand screw with a
  safety cord when it is over heads.
"""


def checklist(board):
    """What to measure before and at the first power-up."""
    three = modules.number(board.MODULE, *modules.place(board.MODULE, "3V3"))
    pairs = len(board.LINES)
    lines = [
        "Controller out, USB unplugged, multimeter on ohms: 3V3 rail to GND above 1 kohm (it may climb as the "
        "capacitor charges). Near 0: a short; look before you go on.",
        f"Pin 1 of {'each' if pairs > 1 else 'the'} XLR to GND, to 3V3 and to the shell: no connection at all.",
        "Data + (pin 3) to data - (pin 2), cable unplugged: above 1 kohm; "
        "about 120 means that the module brings its own resistor: take it off."
        + (" At the input, switch closed: about 120 ohm." if pairs > 1 else ""),
        "Push each key: its wire to GND closes, and opens when let go. Turn the knob: A and B close and open.",
        f"Check the controller's place against the picture once more (3.3 V is {three}), then push it in.",
        "Plug it into a USB power supply or computer. No smoke, no smell, nothing hot after ten seconds.",
        "Multimeter on volts: 3V3 rail 3.2 to 3.4 V. Under 3 V: something draws too much; unplug.",
        f"`python -m host flash --board {board.NAME}` (without MicroPython on the board it says how to put it there): "
        "the panel lights and the board says hello.",
        "Turn the knob: the figure on the screen moves, clockwise up. Push it, try each key.",
        "A lamp at a spare moment, nobody near it: cable from the out, terminator in the lamp, address as on the page "
        "Rig. Half a stop on the knob is seen on the lamp: first light.",
    ]
    return "## First power\n\n" + "\n".join(f"- [ ] {line}" for line in lines) + "\n"


def index(all_boards):
    """The page that compares the boards."""
    rows = []
    for board in all_boards:
        panel = board.PANEL
        low, high = (sum(parts.PARTS[key][at] * count for key, count in board.PARTS) for at in (3, 4))
        rows.append((f"**{board.NAME}**", chip_name(board), f"{panel['width']}x{panel['height']} {panel['driver']}",
                     ", ".join(line["use"] for line in board.LINES), f"{low:.0f} to {high:.0f}",
                     " ".join(f"[{page}]({board.NAME}/{page}.md)" for page in ("wiring", "parts", "build"))
                     + f" [case]({board.NAME}/case.png)"))
    return (MADE.format("*") + "# Building one\n\nFrom a box of parts to first light in an evening: choose a board, "
            "get its parts, print the case, solder in the order given, flash.\n\n" + DANGER + "\n\n"
            + table(("board", "chip", "panel", "DMX512 ports", "parts, US$ (estimate)", "pages"), rows) + CASE)


CASE = """
## The case
Two printed parts a board, `case-tub.stl` and `case-front.stl`, lying as they are to be printed: PETG or ASA (a car in
the sun softens PLA), 0.2 mm layers, three lines a wall, 25 % fill, no supports. Four M3 x 10 countersunk screws from
the back into heat-set inserts in the front's corner posts; the panel and the strip with the keys are held by M2.5
screws and washers on the small posts; the encoder by its own nut. For hanging on a stand slide a hex nut, 1/4-20 or
3/8-16, into its pocket before closing. A foot switch's jack: drill 11 mm at the mark on the right side.

The measures are typical ones, written down from memory in `boards/case/sizes.py`: measure your panel, sockets and
controller first, change what differs, run `python -m boards.case`, and print the front before the tub.
"""
