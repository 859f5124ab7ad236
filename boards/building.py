"""The build page of a board: cautions, the order of soldering, the first power-up; and the page of what is not known
yet."""

from boards import modules, nets, pages

STEP = {  # what to do at each block, in words; the wires follow from the circuit
    "supply": "F1, U1, U2 and their capacitors first: 5 V of the controller goes through F1 and nowhere else. U1 "
              "makes 3.3 V "
              "for all that is outside the controller; U2 holds the controller in reset until that is there (it adds "
              "about "
              "0.35 s to a start). U1 and U2 look alike: read the print.",
    "panel": "C4 between VCC and GND at the pin strip. Read the print on your module: the order of its pins differs "
             "from "
             "maker to maker, and the strip's order is on the wiring page.",
    "oled": "R3 and R4 pull the two I2C lines up, C4 goes between VCC and GND. VCC and GND change places on some of "
            "these "
            "modules: read the print. The panel must be an **SH1106** (1.3 inch). An SSD1306 (mostly 0.96 inch) shows "
            "the same "
            "picture shifted by two columns, with noise at one edge: set `driver` to `ssd1306` in the board file then.",
    "knob": "The encoder is bare: its common pin C goes to ground, A and B straight to the controller, which pulls "
            "them "
            "up.",
    "keys": "Each key closes to ground. Four-legged keys join two legs inside: use two that are diagonal.",
    "sounder": "Either way round, behind R5. A buzzer with a coil stays quiet there, but breaks nothing.",
    "foot": "R6, R7, C5, D1 and D2 belong on the board with or without the jack: the bar on a diode is its cathode. "
            "Nothing "
            "but a switch may be plugged in.",
    "port": "Transceiver first, flat, with flux: its dot is pin 1, away from the XLR. Then capacitors, resistors, "
            "converter. "
            "Nothing may cross the gap but U{n}1, PS{n}1 and C{n}6.",
    "XLR": "Twist the two data wires. Pin 1 goes to the isolated ground, **never** to GND or to the shell: that would "
           "undo the isolation. Pins 4 and 5 stay free. Fix the socket with both screws: the cable pulls on them.",
}
CAUTIONS = f"""{pages.DANGER}

* **Isolate the line.** Use only isolated RS-485: a plain one joins the ground of every lamp to the USB port.
  Even so it is no barrier against mains: never connect a lamp with a damaged cable, plug or housing.
* **Polarity.** Red is +, black is ground, everywhere. A module fed the wrong way round is gone, and hot.
* **Fuse.** Everything outside the controller hangs behind F1. Never bridge it; a fuse that trips has a reason.
* **Batteries.** Feed it from a USB power bank of a known maker. Don't solder to lithium cells, don't charge them in
  this case, and throw away a bank that is swollen, crushed or wet.
* **Heat.** The iron is at 350 degrees C: stand, ventilation, eye protection, hands washed after leaded solder. In use,
  nothing in the case should be too hot to hold a finger on; if it is, pull the plug.
* **Strain.** People will trip over the cables: tie each one down, and hang the box by its stand screw with a safety
  cord when it is over heads.
"""


def building(board):
    """The build page: cautions, the order of soldering, the first power-up."""
    steps = [f"{number}. **{unit['title']}**{' (option)' if nets.optional(board, unit) else ''}. {_step(unit)}"
             for number, unit in enumerate(nets.units(board), 2)]
    rows = 22 if board.MODULE == "s3_devkit" else 20
    return (pages.MADE.format(board.NAME) + f"# {board.NAME}: soldering and first "
                                            f"power\n\n{pages.STATUS.format('../')}\n\n"
            f"{CAUTIONS}\n## Order\n\nLow parts first, sockets and cables last. The nets of each step: "
            f"[wiring](wiring.md); "
            "where each part goes: on the carrier it is printed; "
            "[on a perforated board](perfboard.md) every hole and wire is drawn.\n\n"
            f"1. **Controller**. Solder its two sockets of {rows} pins to the board, and leave the controller itself "
            f"**out** "
            "until the checks below are done.\n"
            + "\n".join(steps) + f"\n{len(steps) + 2}. **Case**. Inserts, panel, keys and knob into the front; board "
                                 f"and sockets "
            "into the tub; tie every cable down within 2 cm of where it enters (strain relief), then close it.\n\n"
            + checklist(board))


def _step(unit):
    kind = "oled" if unit["part"] == "oled" else unit["name"].split()[0]
    return STEP[kind].format(n=" AB".index(unit["name"][-1])) if kind == "port" else STEP[kind]


def checklist(board):
    """What to measure before and at the first power-up."""
    five = "VBUS" if board.MODULE == "pico" else "5V"
    place = modules.number(board.MODULE, *modules.place(board.MODULE, five))
    pairs = len(board.LINES)
    lines = [
        "Controller out, USB unplugged, multimeter on ohms: 5V, 3V3 and each isolated 3V3 to its own ground above 1 "
        "kohm (it "
        "may climb as the capacitors charge). Near 0: a short; look before you go on.",
        f"Pin 1 of {'each' if pairs > 1 else 'the'} XLR to GND, to 3V3 and to the shell: no connection at all.",
        "Out, data + (pin 3) to data - (pin 2), cable unplugged: 100 to 122 ohm (the bias lies beside the 120)."
        + (" In: above 1 kohm, and about 120 with its switch closed." if pairs > 1 else ""),
        "Foot switch's pin to the jack's tip: 2.2 kohm. The sounder's pin to GND: no connection.",
        "Push each key: its wire to GND closes, and opens when let go. Turn the knob: A and B close and open.",
        f"Check the controller's place against the picture once more ({five} is {place}), then push it in.",
        "Plug it into a USB power supply or computer. No smoke, no smell, nothing hot after ten seconds.",
        "Multimeter on volts: behind F1 4.5 to 5.2 V; 3V3 3.2 to 3.4 V; each port's isolated 3.3 V, measured against "
        "XLR pin 1, "
        "the same. Under 3 V: something draws too much; unplug.",
        f"`halfstop flash --board {board.NAME}` (without MicroPython on the board it says how to put it there): "
        "the panel lights and the board says hello.",
        "No picture? " + (
            "If the board's own lamp blinks once a second, and a low tone comes, the panel does not answer: VCC, GND, "
            "SDA, SCL; `halfstop status` says it in words."
            if "oled" in board.NAME else
            "A panel on SPI gives no answer, so no lamp blinks and no test can find it missing: SCK, data, DC, CS, "
            "reset, its light, its 3.3 V. If the board's own lamp does blink once a second, `halfstop status` says "
            "why."),
        "Turn the knob: the figure on the screen moves, clockwise up. Push it, try each key.",
        "Page Self-test (Settings): knob, keys, panel, storage, supply" + (
            ", and the line, with a cable from out to in." if pairs > 1 else "."),
        "A lamp at a spare moment, nobody near it: cable from the out, terminator in the lamp, address as on the page "
        "Rig. Half a stop on the knob is seen on the lamp: first light.",
        "Tell others: [report a build](../status.md).",
    ]
    return "## First power\n\n" + "\n".join(f"- [ ] {line}" for line in lines) + "\n"


def status():
    """The page of what is known and what is not, and how to report a build."""
    return pages.MADE.format("building") + STATUS_PAGE


STATUS_PAGE = """# What is known, and what only a builder can tell

**No unit has been built yet**, of any of the boards, by anybody known to this project.

| proven | how |
|---|---|
| the firmware runs, with its timing | the image that a Pico gets, on an emulated RP2040 ([CHIP.md](../CHIP.md)) |
| the bytes and edges on the line | PIO programs in two emulators, held to ANSI E1.11's figures as remembered |
| what the panel shows | its driver's bytes, decoded by emulated controllers |
| nothing saved is lost | power cut after every flash step, on a real littlefs |
| circuit | computed (ngspice agrees), rules over the nets; the carriers pass KiCad's design rules |
| perforated boards | every wire of the picture held to the nets, every hole to the gap |
| case | solids that close; every screw, plug and jack tried against all others |

| only a builder can tell | measure |
|---|---|
| the parts' pin-outs and sizes, which are from memory | against data sheets and with calipers, before you order |
| supply: voltage behind F1 and at 3V3, all ports driving | multimeter; current by a USB meter |
| bias: volts from data + to data -, out not driving, terminator in | multimeter: 0.25 V or more |
| the break: 92 us or more; the mark after it, 12 us or more | oscilloscope at the XLR, terminator in |
| the edges at the XLR: no ringing over 30 % of the swing | oscilloscope, 50 m of cable |
| RP2350 and ESP32-S3: any of it at all | only the RP2040 was emulated whole |
| sACN on both chips: joining, how long the knob waits, multicast, late packets | Settings, Network, Senders |
| heat of U1, U12, PS11 after an hour in the closed case | finger, thermometer |
| a spark at the XLR shell and at the knob | goes on working, or restarts with its light |

## Report a build
Copy this into a new issue, filled in. What failed is worth most.

```
board (pico2_tft, ...):            carrier or perforated board:
controller, panel, transceiver, converter (maker, part):
MicroPython version:               firmware (Settings, About):
1. volts: USB ____  behind F1 ____  3V3 ____  isolated 3V3 of A ____ B ____
2. mA from USB, all ports driving, backlight full: ____
3. out not driving (hold RUN or RST low), terminator in: data + to data - ____ mV
4. break ____ us, mark ____ us, packets a second ____ (how measured:            )
5. Self-test: knob __ keys __ panel __ line __ storage __ supply __
6. case: what did not fit, and by how many mm:
7. lamps tried (kind, cable length, how many):
8. what went wrong, and what mended it:
```
"""
