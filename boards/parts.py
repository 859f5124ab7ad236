"""The parts that boards name: what to ask a shop for, what it draws, what it costs. For the generators.

`PARTS[key]` is a Part. Costs are estimates in US dollars for one piece from a hobby shop, without shipping, made
without a price list: common practice, no source. Currents are typical figures of such parts' data sheets, and makers'
part numbers are those of general makers: both from memory, so compare with the data sheet before you order. What is
not a component with pins (screws, boards, wire) is counted in `extras`.
"""

from collections import Counter, namedtuple

from boards import circuit
from boards.case import places

# title; look: what to ask for; makers: part numbers that fit; draws: {rail: typical mA}; low, high: US$; and the
# footprint on the carrier board in KiCad's library, "" where it hangs on leads or is none.
Part = namedtuple("Part", "title look makers draws low high footprint")

_TO92 = "Package_TO_SOT_THT:TO-92_Inline_Wide"
_R = "Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P2.54mm_Vertical"
_C = "Capacitor_THT:C_Disc_D5.0mm_W2.5mm_P5.00mm"
_HEADER = "Connector_PinHeader_2.54mm:PinHeader_1x{:02}_P2.54mm_Vertical"


def _resistor(value, why, tolerance="5 %", makers="any"):
    return Part(f"Resistor {value}", f"1/4 W, {tolerance}: {why}", makers, {}, 0.02, 0.1, _R)


PARTS = {
    # Controllers: what they draw from their own USB socket, beside the two rails.
    "pico2": Part("RP2350 board", "Pico 2 class, 40 pins, 4 MB flash, USB socket, without Wi-Fi", "-", {"VBUS": 45},
                  5, 9, "halfstop:pico"),
    "pico2_w": Part("RP2350 board with Wi-Fi", "Pico 2 W class, 40 pins, 4 MB flash, USB socket; draws up to 0.3 A for "
                    "moments while it sends", "-", {"VBUS": 110}, 7, 12, "halfstop:pico"),
    "pico": Part("RP2040 board", "Pico class, 40 pins, 2 MB flash, USB socket, without Wi-Fi", "-", {"VBUS": 40},
                 4, 7, "halfstop:pico"),
    "s3": Part("ESP32-S3 board", "DevKitC-1 class, 44 pins, 8 MB flash or more, PSRAM, two USB sockets, rows 22.86 mm "
               "apart (others are 25.4)", "-", {"VBUS": 110}, 8, 16, "halfstop:s3_devkit"),
    # On the front and in the walls, on leads.
    "tft": Part("TFT panel", "2.8 inch, 320x240, ST7789, four-wire SPI, board 86 x 50 mm, runs on 3.3 V, backlight pin "
                "that takes a logic level (a transistor on the module). 2.0 and 2.4 inch do not fit this case",
                "-", {"3V3": 75}, 9, 18, _HEADER.format(8)),
    "oled": Part("OLED panel", "1.3 inch, 128x64, SH1106, I2C, four pins, board 35.4 x 33.5 mm, runs on 3.3 V", "-",
                 {"3V3": 25}, 4, 8, _HEADER.format(4)),
    "encoder": Part("Rotary encoder", "24 detents, 24 cycles a turn, with push switch, 6 mm shaft, M7 thread, bare",
                    "Alps EC11E, Bourns PEC11R-4215F-S0024", {}, 1, 3, _HEADER.format(4)),
    "keys": Part("Keys on a strip", "three 12 x 12 mm push buttons, 7.3 mm high, that close while held, on a strip of "
                 "perforated board; round caps of 11.5 mm, unlike to the touch", "Omron B3F-4055", {}, 3, 7,
                 _HEADER.format(4)),
    "xlr_out": Part("XLR-5 socket (female)", "5-pole panel socket, 24 mm round hole, flange 26 x 31 mm",
                    "Neutrik NC5FD-L-1", {}, 3, 8, _HEADER.format(3)),
    "xlr_in": Part("XLR-5 plug (male)", "5-pole panel plug, 24 mm round hole, flange 26 x 31 mm",
                   "Neutrik NC5MD-L-1", {}, 3, 8, _HEADER.format(3)),
    "toggle": Part("Toggle switch", "miniature, on-off, M6 bushing, body up to 8 x 13 x 10 mm: puts in the 120 ohm of "
                   "the input", "C&K 7101", {}, 1, 3, _HEADER.format(2)),
    "sounder": Part("Piezo sounder", "passive, 12.6 mm, 4 kHz, two pins 5 mm apart. No coil, no driver inside",
                    "Murata PKM13EPYH4000-A0", {"3V3": 3}, 0.5, 2, _HEADER.format(2)),
    "foot": Part("Foot switch and jack", "6.3 mm mono panel jack, closed body up to 28 mm deep and 17 mm wide, 11 mm "
                 "hole; a switch that closes while held", "Neutrik NMJ4HCD2", {}, 6, 20, _HEADER.format(2)),
    # On the board: supply.
    "fuse": Part("Resettable fuse", "PTC, 0.40 A hold, 0.80 A trip at 23 degrees C, 1.3 ohm or less",
                 "Bourns MF-R040, Bel Fuse 0ZRE0040FF", {}, 0.2, 1, "Fuse:Fuse_BelFuse_0ZRE0040FF_L11.5mm_W3.8mm"),
    "ldo": Part("Regulator 3.3 V", "250 mA, input up to 13 V, TO-92", "Microchip MCP1702-3302E/TO", {}, 0.5, 1.2,
                _TO92),
    "reset": Part("Supervisor 3.0 V", "holds reset until the supply is there, open drain, TO-92",
                  "Microchip MCP120-300DI/TO", {}, 0.5, 1.5, _TO92),
    # On the board: the port.
    "transceiver": Part("Isolated RS-485 transceiver", "half duplex, 500 kbit/s, 3.3 V, fail-safe receiver, SOIC-16 "
                                                       "wide",
                        "TI ISO1410DW or ISO1410BDW", {"3V3": 4}, 3, 6, "Package_SO:SOIC-16W_7.5x10.3mm_P1.27mm"),
    "converter": Part("Isolated converter", "5 V to +/-5 V, 1 W, 1 kV, SIP with five pins; the negative output stays "
                                            "open",
                      "XP Power IA0505S", {}, 4, 8, "Converter_DCDC:Converter_DCDC_XP_POWER-IAxxxxS_THT"),
    "tvs": Part("Surge clamp for RS-485", "two lines, -7 to +12 V, SOT-23", "Littelfuse SM712-02HTG", {}, 0.4, 1.2,
                "Package_TO_SOT_SMD:SOT-23_Handsoldering"),
    "cy": Part("Capacitor 470 pF Y1", "safety class Y1, 10 mm between its leads", "Vishay VY1471K31Y5SQ63V0", {},
               0.3, 1, "Capacitor_THT:C_Disc_D9.0mm_W5.0mm_P10.00mm"),
    "r120": _resistor("120 ohm", "ends the line at this port", "1 %", "Yageo MFR-25FBF52-120R"),
    "r357": _resistor("357 ohm", "line bias, holds the resting line for RDM", "1 %", "Yageo MFR-25FBF52-357R"),
    "r10k": _resistor("10 kohm", "a line driver stays off, and its receiver's pin high, until the firmware runs"),
    # On the board: the rest.
    "r330": _resistor("330 ohm", "limits what a sounder, or a coil in its place, takes from the pin"),
    "r2k2": _resistor("2.2 kohm", "between the foot switch jack and the pin"),
    "r22k": _resistor("22 kohm", "holds the foot switch's pin high"),
    "r4k7": _resistor("4.7 kohm", "pulls the panel's I2C lines up"),
    "r100k": _resistor("100 kohm", "divides the 5 V supply for the meter pin", "1 %"),
    "diode": Part("Schottky diode", "30 V, 200 mA, DO-35: clamps the foot switch's pin to the rails",
                  "BAT85", {}, 0.1, 0.3, "Diode_THT:D_DO-35_SOD27_P7.62mm_Horizontal"),
    "c100n": Part("Capacitor 100 nF", "ceramic, 16 V or more, 5 mm", "any X7R", {}, 0.02, 0.1, _C),
    "c4u7": Part("Capacitor 4.7 uF", "ceramic, 25 V, X7R, 5 mm (no electrolytic: the regulators want a ceramic)",
                 "TDK FG18X7R1E475K, any X7R", {}, 0.15, 0.5, _C),
    # Not components.
    "sockets20": Part("Sockets for the controller", "two strips of 20 pins, 2.54 mm", "any", {}, 0.5, 2, ""),
    "sockets22": Part("Sockets for the controller", "two strips of 22 pins, 2.54 mm", "any", {}, 0.5, 2, ""),
    "board": Part("Board", "the carrier board, ordered with the files in `carrier/`; or a perforated board cut to "
                  "80 x 55 mm (ESP32-S3: 80 x 64) with plated holes, and one SOIC-16-wide and one SOT-23 adapter a "
                  "port", "-", {}, 2, 8, ""),
    "leads": Part("Pin strip and crimped leads", "2.54 mm strip of 40 pins; housings or solder, heat-shrink", "any", {},
                  2, 5, ""),
    "wire": Part("Hook-up wire", "0.25 mm2 stranded, ten colours, half a metre each; cable ties 2.5 mm", "any", {},
                 3, 6, ""),
    "case": Part("Case", "printed: tub and front, PETG or ASA", "-", {}, 3, 6, ""),
    "m3x35": Part("Screw M3 x 35", "countersunk, from the back through the columns into the front", "ISO 10642", {},
                  0.1, 0.3, ""),
    "insert": Part("Insert M3", "heat-set, 4.0 mm hole, up to 7 mm long", "any", {}, 0.1, 0.3, ""),
    "m25w": Part("Screw M2.5 x 6 and washer", "pan head, cuts its thread into the plastic; 8 mm washer: holds panel "
                 "and keys", "ISO 7049 or like", {}, 0.05, 0.2, ""),
    "m25": Part("Screw M2.5 x 6", "pan head: the board on its four standoffs", "ISO 7049 or like", {}, 0.05, 0.2, ""),
    "m3x12": Part("Screw M3 x 12 with nut and washer", "countersunk, two for each XLR", "ISO 10642", {}, 0.1, 0.3, ""),
    "knob": Part("Knob", "20 mm, for a 6 mm shaft with a flat, ribbed so that wet fingers hold it", "any", {}, 1, 3,
                 ""),
    "terminator": Part("Line terminator", "XLR-5 male plug with 120 ohm, 1/4 W, between pins 2 and 3", "any", {}, 4, 9,
                       ""),
    "stand": Part("Stand screw", "1/4-20 or 3/8-16 hex nut, steel, slid into the case's pocket", "any", {}, 0.3, 1, ""),
    "bank": Part("USB power bank", "from a known maker, 5 V 2 A, stays on at 150 mA; a short, thick USB cable", "any",
                 {}, 12, 30, ""),
}
OPTIONS = ("foot", "terminator", "stand", "bank")  # what may be left out


def extras(board):
    """What is needed beside the components with pins: {key: quantity}. The numbers of screws are the case's."""
    return {
        "sockets22" if board.MODULE == "s3_devkit" else "sockets20": 1, "board": 1, "leads": 1, "wire": 1, "case": 1,
        "knob": 1, "m3x35": len(places.columns(board)), "insert": len(places.columns(board)),
        "m25w": len(places.posts(board)), "m25": len(places.board_holes(board)), "m3x12": 2 * len(board.LINES),
    }


def needed(board):
    """The board's whole parts list without the options: {key: quantity}."""
    found = Counter(component.part for component in circuit.components(board) if component.part not in OPTIONS)
    found.update(extras(board))
    return dict(found)


def cost(keys):
    """(low, high) in US$ for {key: quantity}."""
    return tuple(sum(getattr(PARTS[key], end) * count for key, count in keys.items()) for end in ("low", "high"))
