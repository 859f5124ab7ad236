"""The wiring picture of a board, as SVG: controller in the middle, each part where its pins are, no wire crossing.

Drawn for the bench: large type, every wire's colour in words as well, rails as tags in place of a tangle.
"""

from html import escape

from boards import modules, nets, pages

# What the words look like on screen and paper; a dark edge keeps white and yellow visible.
INK = {
    "red": "#d03030", "black": "#202020", "brown": "#8a5a2b", "orange": "#f08020", "yellow": "#f2d21c",
    "green": "#2f9a45", "blue": "#2e6fd0", "violet": "#8b4fc0", "grey": "#9a9a9a", "white": "#ffffff",
}
ROW, TITLE, GAP = 50, 58, 22  # heights: a pin, a unit's title, the space between units
CHIP_W, LANES, TAG, UNIT_W, LINK, XLR_W = 360, 190, 320, 450, 150, 300  # widths, from the middle out
MARGIN, HEAD = 30, 130
PITCH = 58  # between the controller's pins


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
        for width, ink in ((9, "#303030"), (5, INK[colour])):
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


def height(unit):
    return TITLE + ROW * len(unit["pins"])


class Picture:
    """One board's picture being drawn."""

    def __init__(self, board):
        self.board = board
        self.svg = Svg()
        self.columns = sides(board)
        tall = [sum(height(unit) + GAP for unit in column) for column in self.columns]
        rows = modules.ROWS[board.MODULE]
        self.chip_h = PITCH * max(len(row) for row in rows) + TITLE
        self.body = max(*tall, self.chip_h)
        self.chip_x = MARGIN + XLR_W + LINK + UNIT_W + TAG + LANES
        self.chip_y = HEAD + (self.body - self.chip_h) / 2
        self.width = 2 * self.chip_x + CHIP_W
        if not any(unit["name"].startswith("port") for unit in self.columns[1]):
            self.width -= XLR_W + LINK
        self.used, self.paths = {}, []

    def pin_xy(self, side, row):
        return self.chip_x + side * CHIP_W, self.chip_y + TITLE + PITCH * (row + 0.5)

    def draw(self):
        """The whole picture: str."""
        self.svg.text(MARGIN, 58, f"{self.board.NAME}: wiring", 44, weight="bold")
        self.svg.text(MARGIN, 100, "Seen from above. Unplug USB before you touch a wire. Tags "
                      "3V3 and GND go to the two rails; all GND tags are one wire.", 26)
        self.paths = [path for side, column in enumerate(self.columns) for path in self.column(side, column)]
        self.chip()
        return self.svg.done(self.width, HEAD + self.body + MARGIN)

    def column(self, side, column):
        """Draw one side's units and wires; returns the wires' paths: lists of (x, y)."""
        y = self.top(side, column)
        wires, paths = [], []
        for unit in column:
            wires += self.unit(side, unit, y)
            y += height(unit) + GAP
        for lane, (start, end, colour) in zip(lanes(wires), wires, strict=True):
            out = -1 if side == 0 else 1
            x = start[0] + out * (46 + lane * (LANES - 60) / max(len(wires), 1))
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
            y += height(unit) + GAP
        return HEAD + max(0, min(self.body - (y - HEAD - GAP), sum(moves) / len(moves)))

    def unit(self, side, unit, y):
        """Draw one unit; returns its wires to the controller: [(start, end, colour)], from the top down."""
        out = -1 if side == 0 else 1
        near = self.chip_x + side * CHIP_W + out * (LANES + TAG)
        left = near - UNIT_W if side == 0 else near
        self.svg.box(left, y, UNIT_W, height(unit), dash="14 8" if nets.optional(self.board, unit) else "")
        self.svg.text(left + 16, y + 38, unit["title"] + (" (option)" if nets.optional(self.board, unit) else ""),
                      26, weight="bold")
        anchor, inset = ("end", -18) if side == 0 else ("start", 18)
        wires, linked = [], links(self.board, unit)
        for number, pin in enumerate(ordered(self.board, unit)):
            label, to, colour, note = pin
            at = y + TITLE + ROW * (number + 0.5)
            self.svg.text(near + inset, at + 8, label, 26, anchor)
            place = origin(self.board, to)
            if place:
                self.used[place] = colour
            if pin in linked:
                wires.append((self.pin_xy(*place), (near, at), colour))
                name = modules.name(self.board.MODULE, self.label(place))
                tag = f"{colour} · {name} · {modules.number(self.board.MODULE, *place)}"
            else:
                self.svg.wire([(near, at), (near - out * 34, at)], colour)
                tag = f"{to} · {colour}"
            toward = "start" if side == 0 else "end"
            shift, drop, weight = (8, -9, "normal") if pin in linked else (42, 8, "bold")
            self.svg.text(near - out * shift, at + drop, tag, 24, toward, weight)
            if note.endswith("to GND"):  # a part soldered at this pin
                self.svg.text(near - out * 8, at + 26, note.replace("from here ", ""), 20, toward, fill="#a02020")
        if unit["name"].startswith("port"):
            self.socket(side, unit, y)
        return wires

    def socket(self, side, unit, y):
        """The isolated half of a port and its XLR, away from the controller."""
        xlr = next(other for other in nets.units(self.board) if other["name"] == "XLR" + unit["name"][4:])
        out = -1 if side == 0 else 1
        far = self.chip_x + side * CHIP_W + out * (LANES + TAG + UNIT_W)
        wall = far - out * 175
        self.svg.shapes.append(f'<path d="M{wall:g},{y + TITLE - 6:g} V{y + height(unit) - 30:g}" stroke="#d03030" '
                               'stroke-width="4" stroke-dasharray="6 9"/>')
        self.svg.text(wall, y + height(unit) - 8, "isolation", 20, "middle", fill="#a02020")
        left = far - LINK - XLR_W if side == 0 else far + LINK
        self.svg.box(left, y, XLR_W, height(unit))
        self.svg.text(left + 16, y + 38, xlr["title"], 26, weight="bold")
        edge = left + XLR_W if side == 0 else left
        labels = {"isolated ground": "iso. GND"}
        for number, (label, to, colour, _note) in enumerate(xlr["pins"]):
            at = y + TITLE + ROW * (number + 0.5)
            if not colour:
                self.svg.text(left + 16, at + 8, "120 ohm + switch, 2-3", 22)
                continue
            self.svg.text(edge + out * 18, at + 8, label, 26, "end" if side == 0 else "start")
            self.svg.text(far - out * 14, at + 8, labels.get(to[1], to[1]), 22, "start" if side == 0 else "end")
            self.svg.wire([(edge, at), (far, at)], colour)
            self.svg.text((edge + far) / 2, at - 9, colour, 24, "middle")

    def label(self, place):
        return modules.ROWS[self.board.MODULE][place[0]][place[1]]

    def chip(self):
        """The controller with all its pins, the used ones strong."""
        module = self.board.MODULE
        self.svg.box(self.chip_x, self.chip_y, CHIP_W, self.chip_h, fill="#eef3ea")
        middle = self.chip_x + CHIP_W / 2
        self.svg.text(middle, self.chip_y + 52, pages.chip_name(self.board), 32, "middle", "bold")
        ground = modules.place(module, "GND")
        usb = self.chip_y - 16 if modules.USB_UP[module] else self.chip_y + self.chip_h - 14
        self.svg.box(middle - 50, usb, 100, 32, fill="#c8c8c8")
        self.svg.text(middle, usb + 24, "USB", 22, "middle")
        for side, row in enumerate(modules.ROWS[module]):
            for index, label in enumerate(row):
                x, y = self.pin_xy(side, index)
                strong = (side, index) in self.used or (side, index) == ground
                anchor, inset = ("start", 20) if side == 0 else ("end", -20)
                name = modules.name(module, label) + " rail" * ((side, index) == ground)
                words = f"{modules.number(module, side, index).split()[1]}  {name}"
                if side == 1:
                    words = f"{name}  {words.split()[0]}"
                self.svg.text(x + inset, y + 9, words, 27, anchor, "bold" if strong else "normal",
                              "#202020" if strong else "#a8a8a8")
                ink = INK[self.used.get((side, index), "black")] if strong else "#d8d8d8"
                self.svg.shapes.append(f'<circle cx="{x:g}" cy="{y:g}" r="10" fill="{ink}" stroke="#404040" '
                                       'stroke-width="2"/>')
        self.ground(ground)

    def ground(self, place):
        """The tag of the one ground pin that feeds the rail."""
        x, y = self.pin_xy(*place)
        out = -1 if place[0] == 0 else 1
        self.svg.wire([(x + out * 10, y), (x + out * 20, y)], "black")


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
