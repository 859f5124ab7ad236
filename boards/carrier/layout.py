"""Where each part stands on the carriers for a Pico: mm from the upper left corner, y down, degrees counter-clockwise.

Seen from above in the case: the XLRs are beyond the upper edge, the USB socket is at the left. The upper 13.5 mm are
the isolated sides, A left and B right; between them and to the rest runs a gap without copper. A board with one port
has the parts of A alone, whose side is then as wide as the board.
"""

from boards.case import sizes

SIZE = sizes.BOARD["pico"]
GAP = 3.0  # mm without copper round each isolated side
_EDGE, _MIDDLE = 13.5, SIZE[0] / 2
_ALONG, _ACROSS = (0.0, _EDGE, SIZE[0], _EDGE + GAP), (_MIDDLE - GAP / 2, 0.0, _MIDDLE + GAP / 2, _EDGE)
_BELOW = (0.0, _EDGE + GAP, *SIZE)
HOLES = [(x, y) for x in (sizes.BOARD_HOLE_IN, SIZE[0] - sizes.BOARD_HOLE_IN)
         for y in (sizes.BOARD_HOLE_IN, SIZE[1] - sizes.BOARD_HOLE_IN)]
_PORT = {  # what both ports have, from the left edge of each half; {} is the port's number
    "PS{}1": (8.0, 20.08, 180), "C{}3": (14.3, 7.7, 270), "U{}2": (17.9, 7.65, 270), "J{}1": (14.6, 1.75, 90),
    "D{}1": (24.3, 1.8, 0), "R{}3": (14.3, 5.1, 0), "C{}4": (27.85, 5.2, 0), "C{}5": (30.3, 8.2, 0),
    "U{}1": (31.7, 15.7, 90), "C{}6": (23.5, 10.5, 270), "C{}2": (6.0, 25.2, 0), "R{}2": (19.0, 24.5, 0),
    "C{}1": (26.5, 24.3, 0), "R{}1": (34.5, 24.3, 0),
}
_REST = {
    "R14": (19.4, 5.1, 0), "R15": (35.9, 5.1, 90), "J22": (62.44, 5.46, 90),
    "A1": (1.37, SIZE[1] - sizes.CONTROLLER_Y["pico"], 0),
    "J2": (8.5, 52.3, 90), "J3": (20.0, 52.3, 90), "R5": (31.0, 52.3, 0), "J4": (37.0, 52.3, 90),
    "J5": (43.5, 52.3, 90),
    "J1": (77.3, 29.5, 0), "F1": (54.6, 29.5, 0), "U1": (64.3, 29.5, 0), "C1": (54.5, 34.6, 0), "C2": (63.5, 34.6, 0),
    "U2": (54.5, 39.3, 0), "C4": (73.0, 34.5, 270), "R6": (62.5, 39.0, 0), "R7": (67.8, 39.0, 0), "C5": (54.5, 44.5, 0),
    "D1": (63.0, 44.0, 0), "D2": (63.0, 48.5, 0), "R3": (74.0, 42.6, 0), "R4": (74.0, 46.5, 0),
}


def gaps(ports):
    """Boxes without copper, (x, y) to (x, y), of a board with one or two ports."""
    return (_ALONG, _ACROSS) if ports > 1 else (_ALONG,)


def pours(ports):
    """{net: box} of the nets that fill what is left of a region, on both sides."""
    if ports == 1:
        return {"GND": _BELOW, "A GND": (0.0, 0.0, SIZE[0], _EDGE)}
    return {"GND": _BELOW, "A GND": (0.0, 0.0, _ACROSS[0], _EDGE), "B GND": (_ACROSS[2], 0.0, SIZE[0], _EDGE)}


def places():
    """{ref: (x, y, degrees)} of every part that a board may have."""
    found = dict(_REST)
    for number in (1, 2):
        found.update({ref.format(number): (x + (number - 1) * _MIDDLE, y, turn) for ref, (x, y, turn) in _PORT.items()})
    return found


def pico_pads():
    """Pads of the controller's two sockets, from pin 1: [(number, x, y)]. USB to the left: pins 1 to 20 run along the
    lower row, 40 to 21 along the upper, 17.78 mm apart."""
    lower = [(number, (number - 1) * 2.54, 8.89) for number in range(1, 21)]
    return lower + [(number, (40 - number) * 2.54, -8.89) for number in range(21, 41)]
