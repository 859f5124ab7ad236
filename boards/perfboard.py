"""Where each part stands on a perforated board, and the wires below it, made from the circuit's nets.

A hole is (column, row), both from 0 at the upper left: column n lies LEFT + 2.54 n mm from the left edge of the board
of sizes.BOARD, row n TOP + 2.54 n mm from the upper one, so that the USB socket meets the opening of the case. Rows 0
to 4 are the isolated sides, A left and B right of the bare columns 14 to 16; rows 5 to 7 are bare but for the pins of
the parts that cross. The parts' pins are in circuit.py's order. The adapters are taken as 15.24 mm wide (SOIC-16) and
as three pins in a row (SOT-23), from memory: look at yours before you solder. The picture: perfpicture.py.
"""

from boards import circuit

COLUMNS, PITCH = 31, 2.54
ROWS = {"pico": 20, "s3_devkit": 23}
LEFT, TOP = 1.37, {"pico": 3.71, "s3_devkit": 4.13}  # mm from the board's edges to hole (0, 0)
# The rows of the controller's upper and lower socket.
SOCKETS = {"pico": (10, 17), "s3_devkit": (11, 20)}
APART = 4  # holes from a domain's holes to another's: three bare ones between; parts that cross keep their own
NEAR = 2.8  # holes to a converter's pins, which stand closer by themselves: 7 mm, where the carrier's gap has 3
_PORT = {  # from the left edge of a port's half: the first pin's hole, the step from pin to pin
    "PS{}1": (4, 7), "C{}6": (1, 4), "C{}3": (0, 1), "J{}1": (6, 0), "D{}1": (9, 0), "R{}3": (6, 1), "R{}4": (8, 1),
    "R{}5": (4, 0), "C{}5": (10, 1), "U{}2": (6, 2), "C{}4": (9, 2), "U{}1": (6, 9), "C{}2": (0, 9), "C{}1": (3, 9),
}
_HALF = (0, 17)
_BOTH = {"J22": (18, 0), "R11": (14, 8), "R12": (15, 8), "J1": (30, 10)}
_PICO = {
    "R21": (26, 11), "R22": (26, 12), "R3": (26, 11), "R4": (26, 12),
    "J2": (3, 19), "J3": (8, 19), "J4": (13, 19), "J5": (16, 19), "R5": (19, 19), "C4": (28, 11),
    "F1": (22, 11), "U1": (22, 13), "C1": (22, 15), "U2": (22, 17), "C2": (22, 19), "R6": (26, 13), "R7": (26, 14),
    "C5": (26, 15), "D1": (26, 16), "D2": (26, 17), "R1": (26, 18), "R2": (26, 19), "C3": (23, 18),
}
_S3 = {
    "R21": (28, 11), "R22": (28, 12), "R6": (28, 13), "R7": (28, 14), "C5": (28, 16), "C4": (29, 16), "R1": (28, 19),
    "R2": (28, 20), "C3": (27, 21), "F1": (23, 22), "U1": (25, 14), "C1": (25, 16), "U2": (25, 18), "C2": (25, 20),
    "D1": (17, 17), "D2": (17, 18), "J2": (3, 22), "J3": (8, 22), "J4": (13, 22), "J5": (16, 22), "R5": (19, 22),
}
_REST = {"pico": _PICO, "s3_devkit": _S3}
# These run down the board, the others along it.
_DOWN = {"pico": {"C13", "C23", "C4", "J1", "R11", "R12", "C16", "C26"}}
_DOWN["s3_devkit"] = _DOWN["pico"] | {"C5"}
# Holes from one pin to the next, where it is not one.
_STEP = {"c100n": 2, "c4u7": 2, "fuse": 2, "diode": 3, "cy": 4}


def _pins(component, column, row, down):
    """{number of a pin: hole}, of every pin, in use or not."""
    part, ref = component.part, component.ref
    if part == "transceiver":  # 1 to 8 along the lower row, 16 to 9 along the upper
        return {str(n): (column + n - 1, row) if n < 9 else (column + 16 - n, row - 6) for n in range(1, 17)}
    if part == "converter":  # six places upwards, the third is left out
        return {str(n): (column, row + 1 - n) for n in (1, 2, 4, 5, 6)}
    count = max([int(pin.split()[0]) for pin in component.pins])
    step = _STEP.get(part, 1)
    return {str(n): (column, row + (n - 1) * step) if ref in down else (column + (n - 1) * step, row)
            for n in range(1, count + 1)}


def _controller(module):
    """{number: hole} of the controller, its USB socket to the left."""
    upper, lower = SOCKETS[module]
    if module == "pico":  # pins 1 to 20 run along the lower row, 40 to 21 along the upper
        return {str(n): (n - 1, lower) if n < 21 else (40 - n, upper) for n in range(1, 41)}
    # 22 to 1 along the upper row, 44 to 23 along the lower. The module reaches a few mm beyond its rows (from memory).
    return {str(n): (23 - n, upper) if n < 23 else (45 - n, lower) for n in range(1, 45)}


def holes(board):
    """{(ref, number of the pin): hole} of all parts."""
    first = _BOTH | _REST[board.MODULE]
    for n, left in enumerate(_HALF, 1):
        first.update({name.format(n): (left + column, row) for name, (column, row) in _PORT.items()})
    found = {}
    for component in circuit.components(board):
        pins = _controller(board.MODULE) if component.ref == "A1" else _pins(
            component, *first[component.ref], _DOWN[board.MODULE])
        found.update({(component.ref, number): hole for number, hole in pins.items()})
    return found


def domains(board):
    """{hole: letter of the port on whose isolated side it is, "" for the controller's side}, of all pins."""
    found = {}
    for column, row in holes(board).values():
        found[column, row] = ("A" if column < 15 else "B") if row < 5 else ""
    return found


def wires(board):
    """The wires below the board: [(net, hole, hole)], each net joined by its shortest tree, in the order of the
    circuit's nets. No wire is drawn between two converters' inputs, which stand in the gap."""
    places, found = holes(board), []
    for net, pins in circuit.nets(board).items():
        ends = [places[pin] for pin in pins]
        tree, rest = ends[:1], ends[1:]
        while rest:
            _far, one, other = min((_length(one, other), one, other) for one in tree for other in rest)
            found.append((net, one, other))
            tree.append(other)
            rest.remove(other)
    return found


def _length(one, other):
    """Of a wire, in holes; dearer where it would run along the gap."""
    long = ((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2) ** 0.5
    return long + 20 * (5 <= one[1] <= 7 and 5 <= other[1] <= 7 and one[0] != other[0])


def distance(hole, one, other):
    """Holes from a hole to the nearest point of a wire between two."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    along = dx * dx + dy * dy
    share = max(0, min(1, ((hole[0] - one[0]) * dx + (hole[1] - one[1]) * dy) / along)) if along else 0
    return ((one[0] + share * dx - hole[0]) ** 2 + (one[1] + share * dy - hole[1]) ** 2) ** 0.5


def name(hole):
    """A hole as the picture's edges say it: "C12"; after Z comes AA."""
    column, row = hole
    return ("A" if column > 25 else "") + chr(65 + column % 26) + str(row + 1)


def millimetres(board, hole):
    """A hole's place in mm from the board's upper left corner."""
    return LEFT + PITCH * hole[0], TOP[board.MODULE] + PITCH * hole[1]
