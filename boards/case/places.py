"""Where things are in the case: pure numbers from sizes.py, for the solids, the parts list and the tests."""

from boards.case import sizes as s


def kind(board):
    """Which set of sizes: "tft" or "oled"."""
    return "tft" if board.PANEL["bus"] == "spi" else "oled"


def outside(board):
    """(width, height) of the case seen from the front."""
    return s.WIDTH[kind(board)], 2 * s.WALL + s.FOOT_ZONE + s.BOARD[board.MODULE][1] + 2 + s.TOP_ZONE


def grams(board):
    """What both printed parts weigh, in PETG."""
    return s.GRAMS[kind(board), board.MODULE]


def columns(board):
    """The four corner columns, which grow into the walls."""
    w, h = outside(board)
    inset = s.WALL + s.COLUMN / 2 - 0.8
    return [(sx * (w / 2 - inset), sy * (h / 2 - inset)) for sx in (-1, 1) for sy in (-1, 1)]


def board_centre(board):
    """Where the board lies: its left edge at the USB opening, 1 mm from the stand nuts' zone."""
    w, h = outside(board)
    wide, tall = s.BOARD[board.MODULE]
    return -w / 2 + s.WALL + 1 + wide / 2, -h / 2 + s.WALL + s.FOOT_ZONE + 1 + tall / 2


def board_holes(board):
    """The board's four screws."""
    x, y = board_centre(board)
    dx, dy = (side / 2 - s.BOARD_HOLE_IN for side in s.BOARD[board.MODULE])
    return [(x + sx * dx, y + sy * dy) for sx in (-1, 1) for sy in (-1, 1)]


def usb(board):
    """(y, z) of the middle of the USB opening in the left wall."""
    _, y = board_centre(board)
    return (y - s.BOARD[board.MODULE][1] / 2 + s.CONTROLLER_Y[board.MODULE],
            s.FLOOR + s.BOARD_FOOT + s.USB[board.MODULE][1])


def xlrs(board):
    """x of each socket in the top wall, port A first from the left as seen from the front."""
    return s.XLR_X[len(board.LINES)]


def jack(board):
    """x of the foot switch's jack in the top wall, or None."""
    return None if board.FOOT is None else s.JACK_X[len(board.LINES)]


def toggle(board):
    """y of the switch for the input's end resistor in the right wall, or None."""
    return board_centre(board)[1] if any(line["use"] == "in" for line in board.LINES) else None


def ties(board):
    """Middles of the anchors for cable ties: beside the sockets, and at the foot between the stand nuts."""
    w, h = outside(board)
    return [(-w / 2 + 8, h / 2 - 22), (w / 2 - 8, h / 2 - 22), (0.0, -h / 2 + s.WALL + 6)]


def posts(board):
    """Screw posts on the front's inside: [(x, y, length)]: around the panel, and for the strip with the keys."""
    panel = s.PANEL[kind(board)]
    far = panel["board"][1] / 2 + s.ROOM + 2.9
    found = [(sx * panel["board"][0] * 0.3, panel["y"] + sy * far, panel["thick"] - 2.5)
             for sx in (-1, 1) for sy in (-1, 1)]
    keys = s.CONTROLS[kind(board)]["keys"]
    middle = [((a[0] + b[0]) / 2, a[1]) for a, b in zip(keys, keys[1:], strict=False)]
    return found + [(x, y, s.KEY_STRIP[2] - s.FRONT) for x, y in middle]
