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
TOP_ZONE, FOOT_ZONE = 34.0, 19.0  # along y inside: sockets and jack at the top, stand nuts at the bottom

# PETG, 1.27 g/cm3 (from memory): the walls are all lines, so it is the volume. tests/boards/test_case.py weighs the
# files.
GRAMS = {("tft", "pico"): 145, ("oled", "pico"): 135, ("tft", "s3_devkit"): 153}
WIDTH = {"tft": 108.0, "oled": 88.0}
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
BOARD = {"pico": (80.0, 55.0), "s3_devkit": (80.0, 64.0)}  # carrier or perforated board
BOARD_HOLE_IN = 3.0  # its four M2.5 holes, from its edges
BOARD_FOOT, BOARD_STACK = 6.0, 17.0  # standoffs; board, sockets and controller above them
CONTROLLER_Y = {"pico": 17.0, "s3_devkit": 20.5}  # its middle line, from the board's lower edge
# Opening along y and z; its middle above the board's underside. The S3's two sockets stand side by side: an overmould
# of
# 12 x 7 mm at either one passes.
USB = {"pico": ((15.0, 10.0), 15.0), "s3_devkit": ((30.0, 9.0), 15.0)}
USB_SIDE = 8.0  # the S3's sockets, each from the middle line
USB_TIE = (5.0, 2.2, 9.0)  # two slots for a cable tie round the USB cable: along y, along z, between their middles
XLR_HOLE, XLR_FLANGE, XLR_SCREWS = 24.0, (26.0, 31.0), (19.0, 24.0)  # flange and screw pattern: along x, along z
XLR_DEEP, XLR_Z = 30.0, 18.0
XLR_X = {1: (-14.0,), 2: (-24.0, 24.0)}
JACK_X = {1: 22.0, 2: 0.0}  # foot switch jack, in the same wall: marked inside, drilled by those who fit one
JACK_HOLE, JACK_BODY = 11.0, (17.0, 17.0, 28.0)  # along x, along z, deep
TOGGLE_HOLE, TOGGLE_BODY = 6.3, (13.2, 8.0, 16.0)  # along y, along z, deep with its terminals; in the right wall
TIE = (8.0, 8.0, 7.0), (4.0, 2.6)  # anchors for cable ties on the floor: along x, y, z; tunnel along x: wide, high
SCREW_HOLE, SCREW_HEAD, INSERT_HOLE, INSERT_DEEP, COLUMN = 3.4, 6.2, 4.0, 7.0, 9.0  # M3, heat-set inserts
SCREW = 35.0  # M3 countersunk, with its head: from the back through the column into the insert
SELF_TAP = 2.1  # M2.5 screws cut their own thread
POST_DEEPER = 1.2  # a post's hole goes so far into the front
# Hex nuts of ASME B18.2.2 (from memory): thread's hole, across flats, thickness. Threads: ISO 1222 (tripod screws).
NUTS = (("1/4-20", 6.8, 11.11, 5.56, -18.0), ("3/8-16", 10.0, 14.29, 8.33, 18.0))
NUT_WALL = 5.0  # between the nut and the outside: this carries the case
