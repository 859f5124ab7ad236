"""The fields of what lags.py keeps, and lag_loops.py runs over: an array 'i' with a row of ROW for each fixture.

    | SLOWEST ms | LIGHT | GONE | LATE_LIGHT | LATE_GONE |

Light is a level in 1/16 of its units, 0..2**20, before the master. GONE is that light times the share of the fade that
has gone by: divided by the light it is the share again. The late ones are what the slowest lamp's light would be.
"""

from micropython import const

ROW = const(5)
SLOWEST = const(0)  # lag of the slowest lamp of its fade; 0: this one is not slowed
LIGHT = const(1)
GONE = const(2)
LATE_LIGHT = const(3)
LATE_GONE = const(4)
