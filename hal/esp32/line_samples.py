"""Slots and low stretches in a line that was sampled every half microsecond. Used by line_in. This is the plain twin of
line_samples_viper.

state, array of 9 "i": AT, the next sample of the buffer; MODE; COUNT, samples in that mode; BITS of the slot; LOW and
MARK, samples of the last low stretch and of the mark after it; SPAN, samples since the newest low stretch began;
SINCE, what SPAN was then; N, where in `to` the next slot goes: beyond its length, nowhere.
"""

from micropython import const

AT, MODE, COUNT, BITS, LOW, MARK, SPAN, SINCE, N = range(9)
GAP, SLOT, IS_LOW, IS_MARK = range(4)  # modes
MORE, BAD, STRETCH, FULL = range(4)  # what scan returns: buffer at its end, a bad slot, a low stretch, no room

_BIT = const(8)  # samples
_START = const(4)  # to the middle of the start bit
_STOP2 = const(84)  # to the middle of the second stop bit
_LONG = const(1 << 24)


def scan(words, end, to, state):
    """Go on up to the next event or up to sample `end`, and return which. words: buffer of 32-bit little-endian words,
    the oldest sample in bit 31; well-formed slots go to `to`."""
    at, mode, count, span = state[AT], state[MODE], state[COUNT], state[SPAN]
    event = MORE
    while at < end and event == MORE:
        high = words[at >> 5 << 2 | 3 - (at >> 3 & 3)] >> (7 - (at & 7)) & 1
        at += 1
        span += span < _LONG
        count += count < _LONG
        if mode == GAP:
            if not high:
                mode, count, state[BITS] = SLOT, 0, 0
        elif mode == SLOT:
            if count == _START and high:
                mode = GAP  # noise: a start bit is low in its middle
            elif count > _START and count & (_BIT - 1) == _START:
                state[BITS] |= high << ((count - _START) // _BIT - 1)
                if count == _STOP2 and high:
                    mode, event = GAP, _slot(to, state)
                elif count == _STOP2:
                    state[LOW], state[SINCE] = count, span - count
                    mode, span, count = IS_LOW, count, 0
        elif mode == IS_LOW:
            if high:
                state[LOW] += count
                mode, count = IS_MARK, 0
        elif not high:
            state[MARK] = count
            mode, count, event = SLOT, 0, STRETCH
    state[AT], state[MODE], state[COUNT], state[SPAN] = at, mode, count, span
    return event


def _slot(to, state):
    """A slot whose second stop bit is there: the event that it makes."""
    n = state[N]
    if state[BITS] >> 8 != 3:
        return BAD
    if n == len(to):
        return FULL
    if n < len(to):
        to[n] = state[BITS] & 255
        state[N] = n + 1
    return MORE
