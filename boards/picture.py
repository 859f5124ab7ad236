"""The wiring picture of a board, as SVG: controller in the middle, each block where its pins are, no wire crossing.

Drawn for the bench and for a README's width: every wire's colour in words as well, rails as tags in place of a tangle,
and in each block the small parts that belong to it.
"""

from html import escape

from boards import chips, circuit, modules, nets, pages, parts

# What the words look like on screen and paper; a dark edge keeps white and yellow visible.
INK = {
    "red": "#d03030", "black": "#202020", "brown": "#8a5a2b", "orange": "#f08020", "yellow": "#f2d21c",
    "green": "#2f9a45", "blue": "#2e6fd0", "violet": "#8b4fc0", "grey": "#9a9a9a", "white": "#ffffff",
}
ROW, TITLE, GAP, NOTE = 40, 50, 20, 28  # heights: a pin, a block's title, the space between blocks, a part inside
CHIP_W, LANES, TAG, UNIT_W = 300, 130, 150, 330  # widths, from the middle out: all of it 1.5 screens of a README
MARGIN, HEAD = 16, 110
PITCH = 50  # between the controller's pins
NAMES = {"sounder": "Piezo sounder", "foot": "Foot jack"}  # shorter than on the pages


class Svg:
    """Collects shapes. Coordinates in px from the top left."""

    def __init__(self):
        self.shapes = []

    def text(self, x, y, words, size=24, anchor="start", weight="normal", fill="#202020"):
        self.shapes.append(f'<text x="{x:g}" y="{y:g}" font-size="{size}" text-anchor="{anchor}" '
                           f'font-weight="{weight}" fill="{fill}">{escape(words)}</text>')

    def box(self, x, y, w, h, fill="#ffffff", stroke="#404040", dash=""):
        self.shapes.append(f'<rect x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}" rx="10" fill="{fill}" '
                           f'stroke="{stroke}" stroke-width="3" stroke-dasharray="{dash}"/>')

    def wire(self, points, colour):
        path = "M" + " L".join(f"{x:g},{y:g}" for x, y in points)
        for width, ink in ((8, "#303030"), (4.5, INK[colour])):
            self.shapes.append(f'<path d="{path}" fill="none" stroke="{ink}" stroke-width="{width}" '
                               'stroke-linejoin="round" stroke-linecap="round"/>')

    def done(self, width, height):
        return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
                'font-family="DejaVu Sans, Verdana, Arial, sans-serif">\n'
                f'<rect width="{width:g}" height="{height:g}" fill="#fbf9f4"/>\n'
                + "\n".join(self.shapes) + "\n</svg>\n")


def origin(board, to):
    """Where a pin's wire leaves the controller: (side, row), or None for rails and other units."""
    if isinstance(to, int):
        return modules.place(board.MODULE, to)
    if isinstance(to, str) and to.endswith(" pin"):
        return modules.place(board.MODULE, to[:-4])
    return None


def links(board, unit):
    """The pins of a unit that are drawn as wires to the controller: those to GPIOs, or to its supply pins alone."""
    wired = [pin for pin in unit["pins"] if isinstance(pin[1], int)]
    return wired or [pin for pin in unit["pins"] if origin(board, pin[1])]


def sides(board):
    """Units left and right of the controller, each list in the order of their pins; sockets go with their port."""
    found = ([], [])
    for unit in nets.units(board):
        places = [origin(board, pin[1]) for pin in links(board, unit)]
        if not places:
            continue
        side = places[0][0]
        rows = [row for at, row in places if at == side]
        found[side].append((sum(rows) / len(rows), unit))
    return [[unit for _, unit in sorted(column, key=lambda pair: pair[0])] for column in found]


def ordered(board, unit):
    """A unit's pins as drawn: wires in the controller's order from the top, then the rails."""
    wired = links(board, unit)
    return sorted(wired, key=lambda pin: origin(board, pin[1])[1]) + [pin for pin in unit["pins"] if pin not in wired]


def inside(board, unit):
    """The small parts of a block on the controller's side, in words: where each goes."""
    found = []
    for component in circuit.components(board):
        between = [net for net in component.pins.values() if not circuit.domain(net)]
        if component.unit == unit["name"] and len(component.pins) == len(between) == 2 and component.ref[0] in "RCDF":
            value = parts.PARTS[component.part].title.replace("Resistor ", "").replace("Capacitor ", "")
            value = {"Resettable fuse": "fuse", "Schottky diode": "diode"}.get(value, value)
            found.append(f"{component.ref} {value}: {between[0]} to {between[1]}")
    return found


def heading(board, unit):
    """What a block is called on the picture."""
    words = NAMES.get(unit["name"], unit["title"])
    if unit["name"].startswith("port"):
        words = f"Port {unit['name'][-1]} {unit['title'].split()[-1]}"
    return words + (" (option)" if nets.optional(board, unit) else "")


def sockets(board, unit):
    """The XLR's pins that belong to a port's block."""
    if not unit["name"].startswith("port"):
        return None
    return next(other for other in nets.units(board) if other["name"] == "XLR" + unit["name"][4:])


def height(board, unit):
    xlr = sockets(board, unit)
    return TITLE + ROW * len(unit["pins"]) + NOTE * len(inside(board, unit)) + 8 + (
        ROW * (len(xlr["pins"]) + 1) + 12 if xlr else 0)


class Picture:
    """One board's picture being drawn."""

    def __init__(self, board):
        self.board = board
        self.svg = Svg()
        self.columns = sides(board)
        tall = [sum(height(board, unit) + GAP for unit in column) for column in self.columns]
        rows = modules.ROWS[board.MODULE]
        self.chip_h = PITCH * max(len(row) for row in rows) + TITLE
        self.body = max(*tall, self.chip_h + 40)
        self.chip_x = MARGIN + UNIT_W + TAG + LANES
        self.chip_y = HEAD + (self.body - self.chip_h) / 2
        self.width = 2 * self.chip_x + CHIP_W
        self.used, self.paths = {}, []

    def pin_xy(self, side, row):
        return self.chip_x + side * CHIP_W, self.chip_y + TITLE + PITCH * (row + 0.5)

    def draw(self):
        """The whole picture: str."""
        self.svg.text(MARGIN, 46, f"{self.board.NAME}: wiring", 38, weight="bold")
        self.svg.text(MARGIN, 84, "Seen from above. Unplug USB before you touch a wire. All GND tags are one wire; so "
                                  "are "
                      "those of 5V, 3V3.", 22)
        self.paths = [path for side, column in enumerate(self.columns) for path in self.column(side, column)]
        self.chip()
        return self.svg.done(self.width, HEAD + self.body + MARGIN)

    def column(self, side, column):
        """Draw one side's units and wires; returns the wires' paths: lists of (x, y)."""
        y = self.top(side, column)
        wires, paths = [], []
        for unit in column:
            wires += self.unit(side, unit, y)
            y += height(self.board, unit) + GAP
        for lane, (start, end, colour) in zip(lanes(wires), wires, strict=True):
            out = -1 if side == 0 else 1
            x = start[0] + out * (24 + lane * (LANES - 30) / max(len(wires), 1))
            paths.append([start, (x, start[1]), (x, end[1]), end])
            self.svg.wire(paths[-1], colour)
        return paths

    def top(self, side, column):
        """Where a column begins, so that its wires run as level as they can."""
        moves, y = [], HEAD
        for unit in column:
            for number, pin in enumerate(ordered(self.board, unit)[:len(links(self.board, unit))]):
                at = y + TITLE + ROW * (number + 0.5)
                moves.append(self.pin_xy(*origin(self.board, pin[1]))[1] - at)
            y += height(self.board, unit) + GAP
        return HEAD + max(0, min(self.body - (y - HEAD - GAP), sum(moves) / len(moves)))

    def unit(self, side, unit, y):
        """Draw one unit; returns its wires to the controller: [(start, end, colour)], from the top down."""
        out = -1 if side == 0 else 1
        near = self.chip_x + side * CHIP_W + out * (LANES + TAG)
        left = near - UNIT_W if side == 0 else near
        dash = "14 8" if nets.optional(self.board, unit) else ""
        self.svg.box(left, y, UNIT_W, height(self.board, unit), dash=dash)
        self.svg.text(left + 14, y + 34, heading(self.board, unit), 25, weight="bold")
        anchor, inset = ("end", -14) if side == 0 else ("start", 14)
        wires, linked = [], links(self.board, unit)
        for number, pin in enumerate(ordered(self.board, unit)):
            label, to, colour, _note = pin
            at = y + TITLE + ROW * (number + 0.5)
            self.svg.text(near + inset, at + 8, label, 23, anchor)
            place = origin(self.board, to)
            if place:
                self.used[place] = colour
            toward = "start" if side == 0 else "end"
            if pin in linked:
                wires.append((self.pin_xy(*place), (near, at), colour))
                name = modules.name(self.board.MODULE, self.label(place))
                self.svg.text(near - out * 8, at - 9, f"{name} {colour}", 21, toward)
            else:
                self.svg.wire([(near, at), (near - out * 26, at)], colour)
                self.svg.text(near - out * 34, at + 8, to, 22, toward, "bold")
        y += TITLE + ROW * len(unit["pins"])
        for words in inside(self.board, unit):
            y += NOTE
            self.svg.text(left + 14, y - 4, words, 20, fill="#404040")
        if unit["name"].startswith("port"):
            self.socket(left, unit, y + 12)
        return wires

    def socket(self, left, unit, y):
        """The isolated half of a port: its XLR, below a dashed line."""
        self.svg.shapes.append(f'<path d="M{left:g},{y:g} h{UNIT_W}" stroke="#d03030" stroke-width="4" '
                               'stroke-dasharray="6 9"/>')
        xlr = sockets(self.board, unit)
        self.svg.text(left + 14, y + 30, f"isolated: {xlr['title']}", 22, weight="bold", fill="#a02020")
        for number, (label, _to, colour, _note) in enumerate(xlr["pins"]):
            at = y + ROW * (number + 1.5)
            self.svg.wire([(left + 14, at), (left + 54, at)], colour)
            self.svg.text(left + 64, at + 8, f"{label}, {colour}", 23)

    def label(self, place):
        return modules.ROWS[self.board.MODULE][place[0]][place[1]]

    def chip(self):
        """The controller with all its pins, the used ones strong."""
        module = self.board.MODULE
        self.svg.box(self.chip_x, self.chip_y, CHIP_W, self.chip_h, fill="#eef3ea")
        middle = self.chip_x + CHIP_W / 2
        self.svg.text(middle, self.chip_y + 44, pages.chip_name(self.board), 30, "middle", "bold")
        ground, bare = modules.place(module, "GND"), chips.opened(self.board)
        usb = self.chip_y - 16 if modules.USB_UP[module] else self.chip_y + self.chip_h - 14
        self.svg.box(middle - 50, usb, 100, 32, fill="#c8c8c8")
        self.svg.text(middle, usb + 24, "USB", 22, "middle")
        for side, row in enumerate(modules.ROWS[module]):
            for index, label in enumerate(row):
                x, y = self.pin_xy(side, index)
                strong = (side, index) in self.used or (side, index) == ground
                anchor, inset = ("start", 14) if side == 0 else ("end", -14)
                name = modules.name(module, label) + " rail" * ((side, index) == ground) + " open!" * (label in bare)
                words = f"{modules.number(module, side, index).split()[1]} {name}"
                if side == 1:
                    words = f"{name} {words.split()[0]}"
                self.svg.text(x + inset, y + 9, words, 23, anchor, "bold" if strong else "normal",
                              "#202020" if strong else "#909090")
                ink = INK[self.used.get((side, index), "black")] if strong else "#d8d8d8"
                self.svg.shapes.append(f'<circle cx="{x:g}" cy="{y:g}" r="9" fill="{ink}" stroke="#404040" '
                                       'stroke-width="2"/>')


def lanes(wires):
    """Lane numbers, 0 next to the controller, so that no two wires cross. wires: [(start, end, colour)] top down.

    Starts and ends keep one order, so wires cross only through badly chosen lanes: of neighbours that go down the
    upper one takes the farther lane, of neighbours that go up the nearer."""
    order = sorted(range(len(wires)), key=lambda n: (-n if wires[n][1][1] > wires[n][0][1] else n))
    down = [n for n in order if wires[n][1][1] > wires[n][0][1]]
    up = [n for n in order if n not in down]
    found = dict.fromkeys(range(len(wires)), 0)
    for group in (down, up):
        for lane, number in enumerate(group):
            found[number] = lane
    return [found[number] for number in range(len(wires))]


def draw(board):
    """The board's wiring picture: SVG as str."""
    return Picture(board).draw()
