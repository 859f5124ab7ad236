"""The wires between the controller, the blocks of the circuit and what hangs on leads, worked out from the circuit.

A unit is a dict: name, title, part (key in boards/parts.py), pins. A pin is (label, to, colour, note): `to` is a
GPIO number, "GND", "3V3" or "5V" (the rails, the last behind the fuse), "VBUS pin", "5V pin", "RUN pin" or "RST pin" of
the controller, or (unit, label) of another unit; colour is a word.
"""

from boards import circuit, modules, parts

_COLOURS = ("yellow", "blue", "green", "violet", "orange", "grey", "white", "brown")
_RAILS = {"3V3": "red", "5V": "red", "GND": "black"}
_XLR = {"common": "brown", "data -": "blue", "data +": "white"}
_NOTES = {
    ("knob", "A"): "counts backwards: turn it round under Settings, or swap A and B", ("knob", "C"): "also the push's "
    "other end", ("keys", "common"): "the other leg of all three", ("panel", "VCC"): "3.3 V, never 5 V",
    ("supply", "reset"): "holds the controller in reset until 3.3 V is there", ("supply", "in"): "through the fuse",
}


def units(board):
    """Every block with its wires: list of dicts, in the order in which they are soldered."""
    blocks = {}
    for component in circuit.components(board)[1:]:
        blocks.setdefault(component.unit, []).append(component)
    found = []
    for name, components in blocks.items():
        found.append({"name": name, "title": title(board, name, components), "part": _part(components),
                      "pins": _pins(board, name, components)})
        if name.startswith("port"):
            found.append(_socket(name, components))
    return found


def title(board, name, components):
    """What a block is called on the pages."""
    if name.startswith("port"):
        use = board.LINES[circuit.PORT.index(name[-1])]["use"].upper()
        return f"Port {name[-1]}: isolated line driver ({use})"
    if name == "panel":
        kind = "TFT" if components[0].part == "tft" else "OLED"
        return f"{kind} panel {board.PANEL['width']}x{board.PANEL['height']}"
    return {"supply": "Supply", "knob": "Knob (encoder)", "keys": "Keys", "sounder": "Piezo sounder",
            "foot": "Foot switch jack"}[name]


def _part(components):
    """What stands for the block in the parts list: what hangs on leads, or its first component."""
    leads = [component.part for component in components if component.ref.startswith("J")]
    return leads[0] if leads and components[0].unit[:4] != "port" else components[0].part


def _pins(board, name, components):
    """The block's nets that lead to the controller or to a rail, each once, GPIOs first."""
    found, rails = {}, {}
    for component in components:
        for pin, net in component.pins.items():
            to = _to(board, net)
            label = pin.partition(" ")[2] or component.ref
            if to in _RAILS:
                rails.setdefault(to, "VCC" if (name, to) == ("panel", "3V3") else to)
            elif to is not None and net not in found:
                found[net] = (label, component.ref, to)
            elif to is not None and found[net][1] == component.ref:
                found[net] = (found[net][0] + " and " + label, component.ref, to)
    pins = []
    for (label, _, to), colour in zip(found.values(), _COLOURS, strict=False):
        if name == "supply":
            label = {"F1": "in"}.get(label, label)
        red = str(to) in ("VBUS pin", "5V pin")
        pins.append((label, to, "red" if red else colour, _NOTES.get((name, label), "")))
    return (*pins, *((label, to, _RAILS[to], _NOTES.get((name, label), "")) for to, label in rails.items()))


def _to(board, net):
    """Where a net leads outside its block: GPIO, rail, pin of the controller; None for a net of the block's own."""
    if net in _RAILS:
        return net
    if net in ("VBUS", "RESET"):
        return {("pico", "VBUS"): "VBUS pin", ("pico", "RESET"): "RUN pin", ("s3_devkit", "VBUS"): "5V pin",
                ("s3_devkit", "RESET"): "RST pin"}[board.MODULE, net]
    word = modules.GPIO_WORD[board.MODULE]
    return int(net[len(word):]) if net.startswith(word) and net[len(word):].isdigit() else None


def _socket(name, components):
    """The XLR of a port, wired to its isolated side."""
    xlr = next(component for component in components if component.part.startswith("xlr"))
    pins = tuple((pin, (name, net[2:].replace("GND", "isolated ground")), _XLR[pin[2:]],
                  {"1 common": "never to GND", "2 data -": "twist with data +", "3 data +": ""}[pin])
                 for pin, net in xlr.pins.items())
    return {"name": "XLR " + name[-1], "title": parts.PARTS[xlr.part].title.partition(" (")[0].replace(" socket", " "
                                                                                                       "female")
            .replace(" plug", " male"), "part": xlr.part, "pins": pins}


def optional(_board, unit):
    """True where the unit may be left out."""
    return unit["part"] in parts.OPTIONS
