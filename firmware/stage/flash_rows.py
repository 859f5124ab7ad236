"""The arrays of the limiter on flashing: flash_rows_build.py lays them out, flash_loops.py runs over them.

    rows      array 'H', a row for each way in which a lamp's light is judged: ROW numbers
              | FIXTURE | CURVE | DIMMER | DIMMER_LOW | FIRST | LAST | KIND | COUNTS | LEAST |
              A lamp whose dimming curve is measured has one, of that curve. Any other has one for each of the usual
              curves, or, where a level is all that changes, a single one of the STEEPEST. COUNTS: 0: its changes are
              not counted; else bits 0..SUMS-1: of which sums it is one.
    parts     array 'H', a row for each channel that gives colour, FIRST to LAST of a row: PART numbers
              | HIGH | LOW | Y | U |      the shares + BIAS of an emitter at full in the lamp's signals, of ONE
    curves    array 'H', KNOTS each of the curves SQUARE, S and STEEPEST: light of even steps of drive
    spans     array 'H', the first and the last slot (0..1023) of each fixture
    signals   array 'H', two for each row: relative luminance, 0..ONE or somewhat above; R - G - B, + BIAS
    extremes  array 'H', likewise: the highest or lowest signals since the direction turned, + BIAS
    swings    array 'H', two for each row and then for each sum: the extremes of its luminance and its red since the
              last change of its count
    seen      array 'H', the luminance of each sum and then its red
    ways      bytearray, of each count 1 up, 2 down, 0 not yet known
    totals    bytearray, the counts, changes in the last second: of the luminance of each fixture and of all together,
              of the red likewise, of the two directions. A count takes all its rows together: it has one way, and turns
              as soon as any of them goes the other way far enough, so no row of them alone changes more often
    columns   bytearray, COLUMNS times as many: those in each COLUMN_MS

A slot HIGH, or DIMMER, is an index + 1, 0 for none; so is LOW, the byte after it.
"""

from micropython import const

ROW = const(9)
FIXTURE = const(0)  # its place in the rig
CURVE = const(1)  # LINEAR, SQUARE, S, STEEPEST, or where its map begins in the patch's tables
DIMMER = const(2)
DIMMER_LOW = const(3)
FIRST = const(4)
LAST = const(5)
KIND = const(6)  # WHITE, EMITTERS or WHEEL
COUNTS = const(7)
LEAST = const(8)  # a change of luminance that is not above this is none

LINEAR, SQUARE, S, STEEPEST = const(0), const(1), const(2), const(3)
WHITE, EMITTERS, WHEEL = const(0), const(1), const(2)  # a level only; a mix of emitters; hue, saturation and mix

# Sums: of light by the line, the square law and the S; and where colours are as bright as white.
SUMS = const(4)
IN_ALL, IN_LINEAR, IN_SQUARE, IN_S, AS_WHITE = const(15), const(1), const(2), const(4), const(8)

PART = const(4)
HIGH = const(0)
LOW = const(1)
Y = const(2)  # luminance
U = const(3)  # R - G - B

BIAS = const(1 << 14)
ONE = const(4096)
KNOTS = const(33)
TENTH = const(400)  # a little under 10 % of ONE
LITTLE = const(246)  # 6 %: of a lamp that may be red though nothing says so
RED = const(225)  # of ONE, 17.6 / 320: a lamp's red may be 4 % stronger than its emitters add up to here

# Marks of a fixture, bits: its luminance or red would change; it changed often enough; it goes away from its look.
LUMINANCE, REDNESS, OFTEN, AWAY = const(1), const(2), const(4), const(8)

COLUMNS = const(9)  # of the counts of changes, each of COLUMN_MS: the last second and up to 15 % more
COLUMN_MS = const(128)
