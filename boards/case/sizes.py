"""Every measure of the case, in mm: change these for your parts, then run `python -m boards.case`.

x to the right, y up, z from the back (0) to the front, as the user sees the front. Measures of bought parts are
typical ones, from memory: measure yours first.
"""

WALL, FLOOR, FRONT = 2.4, 2.4, 3.0  # six lines of a 0.4 mm nozzle; the front is thicker, it is leaned on
FIT = 0.3  # between two printed parts, each side
ROOM = 0.4  # between a printed and a bought part, each side
THIN = 1.2  # no wall of the case is thinner (three lines)
BRIDGE = 14.0  # longest flat span that is printed over nothing
ROUND = 6.0  # the case's upright edges
DEPTH = 42.0
TOP_ZONE, BOARD_ZONE, FOOT_ZONE = 34.0, 52.0, 19.0  # along y inside: sockets, perforated board, stand nuts

CASE = {"tft": (108.0, 112.0), "oled": (88.0, 112.0)}  # width, height
PANEL = {  # printed board, visible area, its centre from the board's, thickness with glass and pins
    "tft": {"board": (86.0, 50.0), "seen": (57.6, 43.2), "off": (0.0, 0.0), "thick": 6.5, "y": 21.0},
    "oled": {"board": (35.4, 33.5), "seen": (29.4, 14.7), "off": (0.0, 2.0), "thick": 5.0, "y": 25.0},
}
CONTROLS = {  # knob, then the keys back, look, black; one row, the knob under the right thumb
    "tft": {"knob": (33.0, -29.0), "keys": ((-39.0, -29.0), (-19.0, -29.0), (1.0, -29.0))},
    "oled": {"knob": (27.5, -29.0), "keys": ((-32.5, -29.0), (-14.0, -29.0), (4.5, -29.0))},
}
KNOB_HOLE, KNOB_BODY = 7.2, (14.0, 14.0, 8.0)  # M7 thread; what sits behind the front
KEY_HOLE = 12.4  # round cap of 11.5 mm
KEY_STRIP = (12.0, 1.6 + 2.0, 9.0)  # depth along y, board and solder, front's outer face to the board's top
BOARD = (70.0, 50.0)  # perforated board
BOARD_HOLES = (66.0, 46.0)
BOARD_FOOT, BOARD_STACK = 6.0, 17.0  # standoffs; board, sockets and controller above them
USB = {  # opening along y and z; its middle from the board's lower edge and underside
    "pico": ((15.0, 10.0), (14.0, 15.0)),
    "s3_devkit": ((25.0, 10.0), (16.0, 15.0)),
}
XLR_HOLE, XLR_FLANGE, XLR_SCREWS = 24.0, (26.0, 31.0), (19.0, 24.0)  # flange and screw pattern: along x, along z
XLR_DEEP, XLR_Z = 30.0, 18.0
XLR_X = {1: (0.0,), 2: (-22.0, 22.0)}
JACK_HOLE = 11.0  # marked, drilled by those who fit a foot switch
SCREW_HOLE, SCREW_HEAD, INSERT_HOLE, INSERT_DEEP, COLUMN = 3.4, 6.2, 4.0, 7.0, 9.0  # M3, heat-set inserts
SELF_TAP = 2.1  # M2.5 screws cut their own thread
# Hex nuts of ASME B18.2.2 (from memory): thread's hole, across flats, thickness. Threads: ISO 1222 (tripod screws).
NUTS = (("1/4-20", 6.8, 11.11, 5.56, -18.0), ("3/8-16", 10.0, 14.29, 8.33, 18.0))
NUT_WALL = 5.0  # between the nut and the outside: this carries the case
