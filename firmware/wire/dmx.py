"""The timing of ANSI E1.11, in one place: every port, the simulator and the tests use it.

Times are microseconds. TX: what a transmitter must keep to. RX: the least that a receiver must accept. Source: ANSI
E1.11 (DMX512-A), timing tables for transmitters and receivers.
"""

from micropython import const

from firmware.universe import SLOTS

BAUD = const(250_000)
SLOT_US = const(44)  # start bit, 8 data bits (least significant first), 2 stop bits
SLOTS_MIN = const(24)  # our outputs: 24 slots back to back are just the least break-to-break time
SLOTS_MAX = SLOTS
START_CODE = const(0)  # the NULL start code: dimmer levels

BREAK_MIN_TX_US = const(92)
MARK_MIN_TX_US = const(12)  # mark after break
SPACING_MIN_TX_US = const(1_204)  # break to break
SPACING_MAX_TX_US = const(1_000_000)
HZ_MAX = const(830)  # 1 / SPACING_MIN_TX_US

BREAK_MIN_RX_US = const(88)
MARK_MIN_RX_US = const(8)
SPACING_MIN_RX_US = const(1_196)

# What we send where no other timing is set: the longest round break that still makes 44 full packets a second.
BREAK_US = const(128)
MARK_US = const(16)


def check_slots(count):
    """Errors: ValueError where count is no number of slots that we may send, 24..512."""
    if not SLOTS_MIN <= count <= SLOTS_MAX:
        raise ValueError("a packet has %d to %d slots, not %d" % (SLOTS_MIN, SLOTS_MAX, count))


def check_timing(hz, break_us, mark_us):
    """Errors: ValueError where a transmitter may not send like this. hz: 1..830 packets a second, or 0 for as many as
    fit; break_us: 92 and up; mark_us: 12 and up; a packet of 512 slots must stay within 1 s."""
    if hz and not 1 <= hz <= HZ_MAX:
        raise ValueError("refresh is 1 to 830 packets a second, or 0 for the most; not %d" % hz)
    if break_us < BREAK_MIN_TX_US:
        raise ValueError("break is 92 us or more (ANSI E1.11), not %d" % break_us)
    if mark_us < MARK_MIN_TX_US:
        raise ValueError("mark after break is 12 us or more (ANSI E1.11), not %d" % mark_us)
    if break_us + mark_us + SLOT_US * (SLOTS_MAX + 1) > SPACING_MAX_TX_US:
        raise ValueError("break %d us and mark %d us: break to break would pass 1 s" % (break_us, mark_us))


def length_us(count, break_us=BREAK_US, mark_us=MARK_US):
    """Time from the start of the break to the end of the last slot's stop bits, µs. count: slots."""
    return break_us + mark_us + SLOT_US * (count + 1)


def idle_us(count, hz=0, break_us=BREAK_US, mark_us=MARK_US):
    """Mark before the next break, in µs, that brings packets of `count` slots to hz a second; 0 where they are slower
    than that by themselves."""
    least = SPACING_MIN_TX_US if not hz else (1_000_000 + hz - 1) // hz
    return max(0, least - length_us(count, break_us, mark_us))
