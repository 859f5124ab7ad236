"""Every wire of a board, worked out from its file: the one source of the wiring table, the picture and the steps.

A unit is a dict: name, title, part (key in boards/parts.py), pins. A pin is (label, to, colour, note): `to` is a
GPIO number, "GND" or "3V3" (the rails, the second behind the fuse), "3V3 pin" or "5V pin" of the controller, or
(unit, label) of another unit; a colour word, or "" where the part is soldered without a wire.
"""

PORT = "ABCD"
# What common panel modules print beside our pin names.
_PANEL = {
    "sck": ("SCK, SCL or CLK", "yellow"), "mosi": ("MOSI, SDA or DIN", "blue"), "cs": ("CS", "green"),
    "dc": ("DC or RS", "orange"), "rst": ("RST or RES", "violet"), "bl": ("BL or LED", "grey"),
    "sda": ("SDA", "blue"), "scl": ("SCL or SCK", "yellow"),
}
_KEY_COLOUR = ("brown", "blue", "green", "violet")
SUPPLY = (("VCC", "3V3", "red", "3.3 V, never 5 V"), ("GND", "GND", "black", ""))


def units(board):
    """Every unit that is wired to the board's pin rows: list of dicts, in the order in which they are soldered."""
    found = [_fuse(), _panel(board), _knob(board), _keys(board)]
    for letter, line in zip(PORT, board.LINES, strict=False):
        found += [_port(letter, line), _socket(letter, line)]
    if board.POWER["adc"] is not None and board.MODULE != "pico":
        found.append(_supply(board))
    found += [_buzzer(board), _foot(board)]
    return [unit for unit in found if unit]


def _fuse():
    pins = (("in", "3V3 pin", "red", "from the controller's 3.3 V pin"),
            ("out", "3V3", "red", "to the 3.3 V rail: everything else hangs there"))
    return {"name": "fuse", "title": "Fuse F1", "part": "fuse", "pins": pins}


def _panel(board):
    panel = board.PANEL
    wires = [(_PANEL[name][0], pin, _PANEL[name][1], "") for name, pin in panel["pins"].items()]
    title = f"{'TFT' if panel['bus'] == 'spi' else 'OLED'} panel {panel['width']}x{panel['height']}"
    return {"name": "panel", "title": title, "part": "tft" if panel["bus"] == "spi" else "oled",
            "pins": (*wires, *SUPPLY)}


def _knob(board):
    push = dict(zip(board.KEYS, board.KEY_PINS, strict=True))["push"]
    return {"name": "knob", "title": "Knob (encoder)", "part": "encoder", "pins": (
        ("A", board.KNOB["a"], "white", "swap A and B if it counts backwards"),
        ("B", board.KNOB["b"], "grey", ""),
        ("push, one end", push, "brown", ""),
        ("C, and push, other end", "GND", "black", "both to ground"))}


def _keys(board):
    keys = zip(board.KEYS[1:], board.KEY_PINS[1:], _KEY_COLOUR[1:], strict=True)
    pins = [(name, pin, colour, "one leg of the key") for name, pin, colour in keys]
    return {"name": "keys", "title": "Keys", "part": "key",
            "pins": (*pins, ("other legs", "GND", "black", "all three to ground"))}


def _port(letter, line):
    way = {"out": "OUT", "in": "IN"}[line["use"]]
    return {"name": "port " + letter, "title": f"Port {letter}: line driver ({way})", "part": "port", "pins": (
        ("DI or TXD", line["tx"], "orange", ""), ("RO or RXD", line["rx"], "green", ""),
        ("DE and RE, joined", line["drive"], "violet", "10 kohm from here to GND"), *SUPPLY)}


def _socket(letter, line):
    port = "port " + letter
    female = line["use"] == "out"
    end = () if female else (("2 and 3", (port, "end"), "", "120 ohm and a switch in series, between the two pins"),)
    return {"name": "XLR " + letter, "title": f"XLR-5 {'female' if female else 'male'}",
            "part": "xlr_out" if female else "xlr_in", "pins": (
        ("1 common", (port, "isolated ground"), "brown", "never to GND"),
        ("2 data -", (port, "B or -"), "blue", "twist with data +"),
        ("3 data +", (port, "A or +"), "white", ""), *end)}


def _supply(board):
    return {"name": "supply", "title": "Supply divider", "part": "r100k", "pins": (
        ("top, 100 kohm", "5V pin", "red", ""),
        ("middle", board.POWER["adc"], "white", "100 nF from here to GND"),
        ("bottom, 100 kohm", "GND", "black", ""))}


def _buzzer(board):
    if board.BUZZER is None:
        return None
    return {"name": "buzzer", "title": "Piezo sounder", "part": "buzzer", "pins": (
        ("one leg", board.BUZZER, "orange", ""), ("other leg", "GND", "black", ""))}


def _foot(board):
    if board.FOOT is None:
        return None
    return {"name": "foot", "title": "Foot switch jack", "part": "foot", "pins": (
        ("tip", board.FOOT, "yellow", ""), ("sleeve", "GND", "black", ""))}


def optional(board, unit):
    """True where the unit may be left out."""
    return unit["part"] in dict(board.OPTIONS)
