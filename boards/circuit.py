"""Every component of a board and the net on each of its pins: the one source of wiring, pictures, parts and carrier.

A Component is (ref, part, unit, pins): ref as on the board ("U11"), part a key of boards/parts.py, unit the block it
belongs to ("supply", "panel", "knob", "keys", "sounder", "foot", "port A"), pins {name: net}. A pin's name is its
number on the part, and what it is called: "6 D". Nets: "GPn" or "IOn" of the controller, "VBUS" (5 V of the USB
socket), "5V" (behind the fuse), "3V3", "GND", "RESET", "TIP", "SOUND"; of port A "A 5V", "A 3V3", "A GND"
(isolated), "A data +", "A data -", "A end". Pins that stay open are not listed.

The numbers on the parts are those of KiCad's symbol library 6.0 (ISO3082DW for the transceiver, whose family shares
them but for pins 7 and 10, which stay open here; MCP1700x for the regulator; MCP120-xxxDxTO; XP's IH0505S; SM712).
"""

from collections import namedtuple

from boards import modules

Component = namedtuple("Component", "ref part unit pins")
PORT = "ABCD"
_CONTROLLER = {"rp2040": "pico", "rp2350": "pico2", "esp32s3": "s3"}
_FIVE = {"pico": "VBUS", "s3_devkit": "5V"}  # the label of the pin that has the USB socket's 5 V
_RESET = {"pico": "RUN", "s3_devkit": "RST"}


def _two(ref, part, unit, one, other):
    return Component(ref, part, unit, {"1": one, "2": other})


def gpio(board, pin):
    """The net of a GPIO: GP18, IO4."""
    return modules.name(board.MODULE, pin)


def components(board):
    """Every component with pins: list of Component, in the order in which they are soldered."""
    found = [*_supply(board), *_panel(board), _knob(board), _keys(board), *_sounder(board), *_foot(board)]
    for number, line in enumerate(board.LINES, 1):
        found += port(board, number, line)
    nets = {net for component in found for net in component.pins.values()}
    return [_controller(board, nets), *found]


def _controller(board, nets):
    """The module. Its own 3.3 V output stays open, and so does each GPIO that nothing asks for."""
    pins = {}
    for label, number in modules.pins(board.MODULE):
        net = {_FIVE[board.MODULE]: "VBUS", _RESET[board.MODULE]: "RESET", "AGND": "GND"}.get(label)
        net = net or modules.name(board.MODULE, label)
        if net in nets and label != "3V3":
            pins[f"{number} {modules.name(board.MODULE, label)}"] = net
    radio = "_w" if getattr(board, "WIFI", False) and board.MODULE == "pico" else ""
    return Component("A1", _CONTROLLER[board.CHIP] + radio, "controller", pins)


def _supply(board):
    found = [
        _two("F1", "fuse", "supply", "VBUS", "5V"),
        _two("C1", "c4u7", "supply", "5V", "GND"),
        Component("U1", "ldo", "supply", {"1 GND": "GND", "2 in": "5V", "3 out": "3V3"}),
        _two("C2", "c4u7", "supply", "3V3", "GND"),
        Component("U2", "reset", "supply", {"1 reset": "RESET", "2 VDD": "3V3", "3 VSS": "GND"}),
    ]
    meter = board.POWER["adc"]
    if meter is not None and meter not in modules.fixed(board):
        middle = gpio(board, meter)
        found += [_two("R1", "r100k", "supply", "VBUS", middle), _two("R2", "r100k", "supply", middle, "GND"),
                  _two("C3", "c100n", "supply", middle, "GND")]
    return found


# What common panel modules print beside our pin names, in the order of the board's pin strip.
PANEL = {"sck": "SCK, SCL or CLK", "mosi": "SDA, MOSI or DIN", "rst": "RES or RST", "dc": "DC or RS", "cs": "CS",
         "bl": "BL, BLK or LED", "scl": "SCL or SCK", "sda": "SDA"}


def _panel(board):
    wanted = board.PANEL["pins"]
    pins = {"1 GND": "GND", "2 VCC": "3V3"}
    for number, name in enumerate((name for name in PANEL if name in wanted), 3):
        pins[f"{number} {PANEL[name]}"] = gpio(board, wanted[name])
    i2c = board.PANEL["bus"] == "i2c"
    found = [Component("J1", "oled" if i2c else "tft", "panel", pins), _two("C4", "c100n", "panel", "3V3", "GND")]
    if i2c:
        found += [_two("R3", "r4k7", "panel", gpio(board, wanted["sda"]), "3V3"),
                  _two("R4", "r4k7", "panel", gpio(board, wanted["scl"]), "3V3")]
    return found


def _knob(board):
    push = dict(zip(board.KEYS, board.KEY_PINS, strict=True))["push"]
    return Component("J2", "encoder", "knob", {
        "1 A": gpio(board, board.KNOB["a"]), "2 B": gpio(board, board.KNOB["b"]), "3 push": gpio(board, push),
        "4 C": "GND"})


def _keys(board):
    keys = zip(board.KEYS[1:], board.KEY_PINS[1:], strict=True)
    pins = {f"{number} {name}": gpio(board, pin) for number, (name, pin) in enumerate(keys, 1)}
    return Component("J3", "keys", "keys", {**pins, f"{len(pins) + 1} common": "GND"})


def _sounder(board):
    if board.BUZZER is None:
        return []
    return [_two("R5", "r330", "sounder", gpio(board, board.BUZZER), "SOUND"),
            _two("J4", "sounder", "sounder", "SOUND", "GND")]


def _foot(board):
    if board.FOOT is None:
        return []
    pin = gpio(board, board.FOOT)
    return [
        _two("R6", "r2k2", "foot", "TIP", pin), _two("R7", "r22k", "foot", pin, "3V3"),
        _two("C5", "c100n", "foot", pin, "GND"),
        Component("D1", "diode", "foot", {"1 cathode": "3V3", "2 anode": pin}),
        Component("D2", "diode", "foot", {"1 cathode": pin, "2 anode": "GND"}),
        Component("J5", "foot", "foot", {"1 tip": "TIP", "2 sleeve": "GND"}),
    ]


def port(board, number, line):
    """The circuit between the chip and one XLR, the same for every port: isolated by its transceiver and converter.

    An out has its end resistor and the line bias fitted; an in has an end resistor with a switch and no bias."""
    letter = PORT[number - 1]
    tx, rx, drive = (gpio(board, line[end]) for end in ("tx", "rx", "drive"))
    five, three, ground, plus, minus, end = (
        f"{letter} {net}" for net in ("5V", "3V3", "GND", "data +", "data -", "end"))
    unit, n = f"port {letter}", str(number)
    found = [
        Component(f"U{n}1", "transceiver", unit, {
            "1 VCC1": "3V3", "2 GND1": "GND", "3 R": rx, "4 /RE": drive, "5 DE": drive, "6 D": tx, "8 GND1": "GND",
            "9 GND2": ground, "12 A": plus, "13 B": minus, "15 GND2": ground, "16 VCC2": three}),
        _two(f"C{n}1", "c100n", unit, "3V3", "GND"),
        _two(f"R{n}1", "r10k", unit, drive, "GND"), _two(f"R{n}2", "r10k", unit, rx, "3V3"),
        Component(f"PS{n}1", "converter", unit, {"1 +Vin": "5V", "2 -Vin": "GND", "5 0V": ground, "6 +Vout": five}),
        _two(f"C{n}2", "c4u7", unit, "5V", "GND"), _two(f"C{n}3", "c4u7", unit, five, ground),
        Component(f"U{n}2", "ldo", unit, {"1 GND": ground, "2 in": five, "3 out": three}),
        _two(f"C{n}4", "c4u7", unit, three, ground), _two(f"C{n}5", "c100n", unit, three, ground),
        Component(f"D{n}1", "tvs", unit, {"1 line": plus, "2 line": minus, "3 common": ground}),
        _two(f"C{n}6", "cy", unit, ground, "GND"),
        Component(f"J{n}1", "xlr_out" if line["use"] == "out" else "xlr_in", unit,
                  {"1 common": ground, "2 data -": minus, "3 data +": plus}),
    ]
    if line["use"] == "out":
        return [*found, _two(f"R{n}3", "r120", unit, plus, minus), _two(f"R{n}4", "r357", unit, plus, three),
                _two(f"R{n}5", "r357", unit, minus, ground)]
    return [*found, _two(f"R{n}3", "r120", unit, plus, end), _two(f"J{n}2", "toggle", unit, end, minus)]


def domain(net):
    """The letter of the port on whose isolated side a net is, or "" for the controller's side."""
    return net[0] if net[:1] in PORT and net[1:2] == " " else ""


def nets(board):
    """{net: [(ref, number of the pin)]}, as a board's netlist has it."""
    found = {}
    for component in components(board):
        for pin, net in component.pins.items():
            found.setdefault(net, []).append((component.ref, pin.split()[0]))
    return found
