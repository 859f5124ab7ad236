"""The schematic of a board as SVG: a box for each part with pins, a line for each of two, every net by its name.

No wires are drawn between the symbols: pins with one net name are joined, as on any schematic with labels.
"""

from boards import circuit, nets, parts
from boards.picture import Svg

COLUMN, ROW, MARGIN = 480, 30, 24
RED = "#a02020"  # nets of an isolated side


def rows(component):
    """A many-pin part's pins as drawn: [(left pin or None, right pin or None)], each (name, net), by their numbers."""
    pins = list(component.pins.items())
    middle = max(int(name.split()[0]) for name, _ in pins) / 2
    middle = 8 if component.part == "transceiver" else 2 if component.part == "converter" else middle
    left = [pin for pin in pins if int(pin[0].split()[0]) <= middle]
    right = [pin for pin in pins if pin not in left]
    deep = max(len(left), len(right))
    return list(zip(left + [None] * (deep - len(left)), right + [None] * (deep - len(right)), strict=True))


def height(component):
    return ROW * 1.6 if len(component.pins) == 2 else ROW * (len(rows(component)) + 1.8)


def ink(net):
    return RED if circuit.domain(net) else "#202020"


def symbol(svg, component, x, y):
    """One part at the left upper corner of its place."""
    title = f"{component.ref} {parts.PARTS[component.part].title}"
    for word, short in (("Resistor ", ""), ("Capacitor ", ""), ("Isolated RS-485 ", ""), (" for RS-485", ""),
                        ("Schottky diode", "diode, cathode left"), (" and jack", "")):
        title = title.replace(word, short)
    if len(component.pins) == 2:
        (_, one), (_, other) = component.pins.items()
        at = y + ROW * 0.8
        svg.shapes.append(f'<path d="M{x:g},{at:g} h{COLUMN - MARGIN}" stroke="#202020" stroke-width="2"/>')
        svg.box(x + 105, at - 17, COLUMN - MARGIN - 210, 34)
        svg.text(x + (COLUMN - MARGIN) / 2, at + 6, title, 17, "middle")
        svg.text(x, at - 6, one, 17, fill=ink(one))
        svg.text(x + COLUMN - MARGIN, at - 6, other, 17, "end", fill=ink(other))
        return
    deep = rows(component)
    svg.box(x + 95, y, COLUMN - MARGIN - 190, ROW * (len(deep) + 1.4))
    svg.text(x + (COLUMN - MARGIN) / 2, y + 22, title, 17, "middle", "bold")
    for number, pair in enumerate(deep):
        at = y + ROW * (number + 1.7)
        for side, pin in enumerate(pair):
            if pin is None:
                continue
            short = pin[0] if len(pin[0]) < 12 else pin[0].partition(",")[0][:10]
            edge = x + (95 if side == 0 else COLUMN - MARGIN - 95)
            out = -1 if side == 0 else 1
            svg.shapes.append(f'<path d="M{edge:g},{at:g} h{95 * out}" stroke="#202020" stroke-width="2"/>')
            svg.text(edge - out * 8, at + 6, short, 16, "start" if side == 0 else "end")
            svg.text(edge + out * 93, at - 5, pin[1], 17, "start" if side == 0 else "end", fill=ink(pin[1]))


def sheet(title, blocks, columns):
    """The whole drawing. blocks: [(heading, components)]; columns: how many stand side by side."""
    svg, ends = Svg(), [80.0] * columns
    svg.text(MARGIN, 44, title, 22, weight="bold")
    for heading, components in blocks:
        column = ends.index(min(ends))
        for number, component in enumerate(components):
            if len(blocks) == 1:
                column = ends.index(min(ends))
            x, y = MARGIN + column * COLUMN, ends[column]
            if number == 0 and heading:
                svg.text(x, y + 20, heading, 20, weight="bold")
                y += 34
            symbol(svg, component, x, y)
            ends[column] = y + height(component) + 8
    return svg.done(MARGIN + columns * COLUMN, max(ends) + MARGIN)


def port(board):
    """Port A alone, for the page about the circuit."""
    every = [component for component in circuit.components(board) if component.unit == "port A"]
    return sheet("Port A: pins with one net name are joined; red is the isolated side", [("", every)], 2)


def whole(board):
    """All of a board."""
    blocks = {}
    for component in circuit.components(board):
        blocks.setdefault(component.unit, []).append(component)
    named = [("Controller" if unit == "controller" else nets.title(board, unit, components), components)
             for unit, components in blocks.items()]
    return sheet(f"{board.NAME}: schematic. Pins with one net name are joined; red is an isolated side", named, 4)
