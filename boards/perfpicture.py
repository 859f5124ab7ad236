"""The perforated board's picture, as SVG: the parts from above, below it the wires as the solderer sees them, from
below and mirrored; and its page with every wire by its holes. Made by `python -m boards`.
"""

from html import escape

from boards import circuit, pages, parts, perfboard
from boards.case import sizes
from boards.picture import INK

HOLE = 40  # px from hole to hole
MARGIN, HEAD, BETWEEN = 70, 160, 250
_COLOURS = ("blue", "green", "violet", "brown", "yellow", "grey", "white")
_RAILS = {"GND": "black", "3V3": "red", "5V": "orange", "VBUS": "orange"}
_BODY = "#e9e2cf"


class View:
    """One view of the board. top: px of hole row 0; mirrored: seen from below."""

    def __init__(self, board, shapes, top, mirrored):
        self.board, self.shapes, self.top, self.mirrored = board, shapes, top, mirrored

    def xy(self, hole):
        """A hole's place, px; parts of a hole for bodies."""
        column = perfboard.COLUMNS - 1 - hole[0] if self.mirrored else hole[0]
        return MARGIN + HOLE * column, self.top + HOLE * hole[1]

    def text(self, hole, words, size=18, weight="normal", fill="#202020"):
        """Write in the middle of a place, with a bright edge, since pins lie below."""
        x, y = self.xy(hole)
        self.shapes.append(f'<text x="{x:g}" y="{y + 6:g}" font-size="{size}" text-anchor="middle" '
                           f'font-weight="{weight}" fill="{fill}" stroke="#fbf9f4" stroke-width="4" '
                           f'paint-order="stroke">{escape(words)}</text>')

    def box(self, low, high, fill, stroke="#807860", dash=""):
        (x0, y0), (x1, y1) = self.xy(low), self.xy(high)
        self.shapes.append(f'<rect x="{min(x0, x1):g}" y="{y0:g}" width="{abs(x1 - x0):g}" height="{y1 - y0:g}" '
                           f'rx="6" fill="{fill}" stroke="{stroke}" stroke-width="2" stroke-dasharray="{dash}"/>')

    def ground(self):
        """The board, its gap, its holes and their names."""
        wide, high = (side / perfboard.PITCH for side in sizes.BOARD[self.board.MODULE])
        left, top = -perfboard.LEFT / perfboard.PITCH, -perfboard.TOP[self.board.MODULE] / perfboard.PITCH
        self.box((left, top), (left + wide, top + high), "#d9c79a", "#604020")
        self.box((left, 4.5), (left + wide, 7.5), "#f6f0e0", "#d03030", "6 9")
        if len(self.board.LINES) > 1:
            self.box((13.5, top), (16.5, 4.5), "#f6f0e0", "#d03030", "6 9")
        for x in (sizes.BOARD_HOLE_IN, sizes.BOARD[self.board.MODULE][0] - sizes.BOARD_HOLE_IN):
            for y in (sizes.BOARD_HOLE_IN, sizes.BOARD[self.board.MODULE][1] - sizes.BOARD_HOLE_IN):
                cx, cy = self.xy((x / perfboard.PITCH + left, y / perfboard.PITCH + top))
                self.shapes.append(f'<circle cx="{cx:g}" cy="{cy:g}" r="{HOLE * 1.35 / 2.54:g}" fill="#fbf9f4" '
                                   'stroke="#604020" stroke-width="2"/>')
        self.shapes.append('<g fill="#a08850" stroke="#a08850">')
        for column in range(perfboard.COLUMNS):
            for row in range(perfboard.ROWS[self.board.MODULE]):
                x, y = self.xy((column, row))
                bare = 4 < row < 8 or len(self.board.LINES) > 1 and row < 5 and 13 < column < 17
                self.shapes.append(f'<circle cx="{x:g}" cy="{y:g}" r="4"' + ' fill="none"' * bare + "/>")
        self.shapes.append("</g>")
        for column in range(perfboard.COLUMNS):
            self.text((column, -2), perfboard.name((column, 0))[:-1], 18, fill="#604020")
        for row in range(perfboard.ROWS[self.board.MODULE]):
            for column in (-1.1, perfboard.COLUMNS + 0.1):
                self.text((column, row), str(row + 1), 18, fill="#604020")

    def pin(self, hole, words, square):
        x, y = self.xy(hole)
        title = f"<title>{escape(words)}</title>"
        shape = (f'<rect x="{x - 9:g}" y="{y - 9:g}" width="18" height="18" fill="#404040">{title}</rect>' if square
                 else f'<circle class="pin" cx="{x:g}" cy="{y:g}" r="9" fill="#404040">{title}</circle>')
        self.shapes.append(shape)

    def wire(self, net, one, other):
        (x0, y0), (x1, y1) = self.xy(one), self.xy(other)
        for width, ink in ((7, "#303030"), (4.5, INK[colour(self.board, net)])):
            self.shapes.append(f'<line class="{"edge" if width == 7 else "wire"}" x1="{x0:g}" y1="{y0:g}" x2="{x1:g}" '
                               f'y2="{y1:g}" stroke="{ink}" stroke-width="{width}" stroke-linecap="round"/>')


def colour(board, net):
    """A net's colour, as a word of INK; the isolated ground and supply have those of the others."""
    words = net[2:] if circuit.domain(net) else net
    if words in _RAILS:
        return _RAILS[words]
    signals = [name for name in circuit.nets(board) if name not in _RAILS]
    return _COLOURS[signals.index(net) % len(_COLOURS)]


def body(component, places):
    """(upper left, lower right) of a part seen from above, in holes. Sizes as parts.py asks for, from memory."""
    columns, rows = [hole[0] for hole in places], [hole[1] for hole in places]
    across = {"converter": (1.2, 1.34), "cy": (1.0, 0.2), "ldo": (0.45, 0.5), "reset": (0.45, 0.5), "diode": (0.1, 0.4),
              "fuse": (1.25, 0.75)}.get(component.part, (0.5, 0.5))
    return (min(columns) - across[0], min(rows) - across[1]), (max(columns) + across[0], max(rows) + across[1])


def draw(board):
    """The picture: SVG as str."""
    high = HOLE * perfboard.ROWS[board.MODULE]
    shapes, places = [], perfboard.holes(board)
    above = View(board, shapes, HEAD, False)
    below = View(board, shapes, HEAD + high + BETWEEN, True)
    for view, title, words in (
            (above, "parts, seen from above", "Square: pin 1. Dark bar: a regulator's flat side, a diode's band. "
                                              "Hollow holes: copper cut away."),
            (below, "wires, seen from BELOW (mirrored)", "Black: ground. Red: 3.3 V. Orange: 5 V. Each wire by its "
                                                         "holes: in the table.")):
        shapes.append(f'<text x="{MARGIN}" y="{view.top - 128:g}" font-size="28" font-weight="bold">'
                      f'{escape(board.NAME + ": " + title)}</text>')
        shapes.append(f'<text x="{MARGIN}" y="{view.top - 100:g}" font-size="20">{escape(words)}</text>')
        view.ground()
    for component in circuit.components(board):
        mine = {number: hole for (ref, number), hole in places.items() if ref == component.ref}
        low, top = body(component, mine.values())
        above.box(low, top, _BODY)
        if component.part in ("ldo", "reset"):
            above.box((low[0], top[1] - 0.15), top, "#807860")  # the flat side
        if component.part == "diode":
            above.box((low[0] + 0.5, low[1]), (low[0] + 0.75, top[1]), "#807860")  # the band: cathode
        _pins(above, component, mine)
        above.text(((low[0] + top[0]) / 2, (low[1] + top[1]) / 2), component.ref, 17, "bold", "#a02020")
    for component in circuit.components(board):
        mine = {number: hole for (ref, number), hole in places.items() if ref == component.ref}
        low, top = body(component, mine.values())
        below.box(low, top, "none", "#b8a880")
        _pins(below, component, mine)
        below.text(((low[0] + top[0]) / 2, (low[1] + top[1]) / 2), component.ref, 17, fill="#806030")
    for net, one, other in perfboard.wires(board):
        below.wire(net, one, other)
    middle = sum(perfboard.SOCKETS[board.MODULE]) / 2
    above.box((-0.55, middle - 1.5), (0.4, middle + 1.5), "#c8c8c8")
    above.text((0, middle), "USB", 17)
    width, height = 2 * MARGIN + HOLE * (perfboard.COLUMNS - 1), below.top + high + 40
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
            'font-family="DejaVu Sans, Verdana, Arial, sans-serif">\n'
            f'<rect width="{width:g}" height="{height:g}" fill="#fbf9f4"/>\n' + "\n".join(shapes) + "\n</svg>\n")


def _pins(view, component, mine):
    called = {pin.split()[0]: pin for pin in component.pins}
    for number, hole in mine.items():
        if number in called or component.ref != "A1":
            view.pin(hole, f"{component.ref} {called.get(number, number + ' (open)')}", number == "1")


def page(board):
    """The page of a board's perforated board: cautions, picture, every wire. Markdown."""
    pins = {hole: f"{ref}.{number}" for (ref, number), hole in perfboard.holes(board).items()}
    rows = [(net, f"{perfboard.name(one)} ({pins[one]})", f"{perfboard.name(other)} ({pins[other]})")
            for net, one, other in perfboard.wires(board)]
    blocks = [(component.ref, parts.PARTS[component.part].title, ", ".join(
        f"{pin} {perfboard.name(perfboard.holes(board)[component.ref, pin.split()[0]])}" for pin in component.pins))
        for component in circuit.components(board)[1:]]
    return pages.MADE.format("perfpicture") + PAGE.format(
        name=board.NAME, status=pages.STATUS.format("../"), danger=pages.DANGER, wires=len(rows),
        near=perfboard.NEAR * perfboard.PITCH, far=perfboard.APART * perfboard.PITCH, left=perfboard.LEFT,
        top=perfboard.TOP[board.MODULE], places=pages.table(("part", "what", "pin and hole"), blocks),
        module="" if board.MODULE == "pico" else " Modules of this kind differ in length: hold yours against it first.",
        table=pages.table(("net", "from", "to"), rows))


PAGE = """# {name}: on a perforated board

{status}

{danger}

![parts from above, wires from below](perfboard.svg)

For who will not order the carrier: the same circuit, parts and size of board. Cut the board so that the middle of hole
A1 lies {left} mm from the left edge and {top} mm from the upper one: then the USB socket meets the case's
opening.{module}
Drill the four corner holes to 2.7 mm; the screws' heads take the holes next to them, which stay empty.

* **The gap.** No wire and no part crosses it but transceivers (U11 ...), converters (PS11 ...) and the safety
  capacitors (C16 ...). Wires and pins of the two sides are {far:.0f} mm apart or more, and {near:.0f} mm at a
  converter's pins. **Cut or drill away the copper of the empty holes in the gap**: the pads of a perforated board lie
  close together, and through them the gap is much smaller than it looks. It is for the 1 kV test of the converter, not
  for mains.
* **Adapters.** The transceiver sits on a SOIC-16-wide adapter, its two rows 15.24 mm apart, and the clamp on a SOT-23
  adapter with three pins in a row, in the order 1, 2, 3. Adapters differ: look at the print on yours, and move its
  wires if need be. No copper of the adapter may bridge the gap either.
* **Wires.** {wires}, insulated, on the lower side, as short as they lie; a bent lead does where two holes are
  neighbours. Tick each wire off here, then measure as on [the build page](build.md): no connection at all between
  the sides.

## Parts and holes

{places}
## Wires

{table}"""
