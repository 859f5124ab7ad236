"""RDM packets, ANSI E1.20: requests are made, answers are read. Loaded while lamps are asked for.

A request is a packet with its start code and checksum; a unique ID (UID) is an int of 48 bits, the maker's number in
the upper 16. Numbers of this module: ANSI E1.20, tables of packet format, command classes, response types and timing
(from memory).
"""

from micropython import const

from firmware.wire.rdm_fault import fault

START_CODE = const(0xCC)  # SC_RDM
SUB_START_CODE = const(0x01)  # SC_SUB_MESSAGE
LENGTH_AT, TO_AT, FROM_AT = const(2), const(3), const(9)
NUMBER_AT, KIND_AT, COUNT_AT = const(15), const(16), const(17)  # transaction; port or response type; messages waiting
SUB_AT = const(18)  # sub-device, 0: the root
CLASS_AT, PID_AT, DATA_LENGTH_AT, DATA_AT = const(20), const(21), const(23), const(24)
DATA_MOST = const(231)
CHECKSUM = const(2)  # bytes of it

DISCOVERY, GET, SET = const(0x10), const(0x20), const(0x30)  # the answer's class is one more
ACK, ACK_TIMER, NACK, ACK_OVERFLOW = const(0), const(1), const(2), const(3)
ALL = const(0xFFFFFFFFFFFF)  # the UID of everybody; nobody answers it, but for discovery
LAST_UID = const(0xFFFFFFFFFFFE)
# A maker's number from the range that is kept for prototypes, 7FF0h to 7FFFh (from memory); the device's is ours.
OWN_UID = const(0x7FF0485A0001)

UNIQUE_BRANCH, MUTE, UN_MUTE = const(0x0001), const(0x0002), const(0x0003)
_QUEUED = const(0x20)  # QUEUED_MESSAGE, whose answer is about another parameter
PREAMBLE, SEPARATOR = const(0xFE), const(0xAA)
PREAMBLE_MOST = const(7)
_ENCODED = const(16)  # bytes after the separator: the UID and its checksum, each byte twice

# Timing, µs. Ours stands first; the rest is what a responder may do.
SLOT_US = const(44)
BREAK_US, MARK_US = const(200), const(20)  # a controller's break is 176 to 352, its mark 12 to 88
BREAK_MIN_US, BREAK_MAX_US, MARK_MIN_US, MARK_MAX_US = const(176), const(352), const(12), const(88)
RELEASE_MOST_US = const(88)  # from the last stop bit until the driver lets go of the line
ANSWER_FIRST_US, ANSWER_LAST_US = const(176), const(2_000)  # from the request's end until an answer begins
LOST_US = const(2_800)  # a controller waits so long for it
BRANCH_US = const(5_800)  # from the end of a discovery request until the next packet
REST_US = const(3_000)  # the same after a request that nobody answered
AFTER_ALL_US = const(176)  # and after one that nobody may answer
DMX_US = const(22_716)  # a full DMX512 packet of ours, which comes between two exchanges
_AROUND_US = const(600)  # the driver's release, and its mark before the next break


def request(to, number, kind, pid, data=b"", source=OWN_UID):
    """A request: bytearray, whole. to: UID; number: of the transaction, 0..255; kind: DISCOVERY, GET or SET."""
    return packet(to, source, number, 1, 0, kind, pid, data)


def packet(to, source, number, port, count, kind, pid, data=b""):
    """Any packet, of sub-device 0, the root. port: the port of a request, or the response type; count: messages that
    wait, of an answer."""
    if len(data) > DATA_MOST:
        raise ValueError("RDM carries %d bytes at most, not %d" % (DATA_MOST, len(data)))
    out = bytearray(DATA_AT)
    out[0], out[1] = START_CODE, SUB_START_CODE
    out[LENGTH_AT] = DATA_AT + len(data)
    out[TO_AT:FROM_AT] = to.to_bytes(6, "big")
    out[FROM_AT:NUMBER_AT] = source.to_bytes(6, "big")
    out[NUMBER_AT], out[KIND_AT] = number & 255, port
    out[COUNT_AT], out[CLASS_AT] = count, kind
    out[PID_AT:DATA_LENGTH_AT] = pid.to_bytes(2, "big")
    out[DATA_LENGTH_AT] = len(data)
    out += data
    return out + sum(out).to_bytes(2, "big")


def word(data, at=0):
    """Two bytes as a number."""
    return data[at] << 8 | data[at + 1]


def uid(data, at=0):
    """Six bytes as a UID."""
    return int.from_bytes(data[at : at + 6], "big")


def uid_words(number):
    """A UID as it is written: "7FF0:485A0001"."""
    return "%04X:%04X%04X" % (number >> 32, number >> 16 & 0xFFFF, number & 0xFFFF)


def wrong(heard):
    """What is wrong with bytes that should be one packet: words, "" for nothing."""
    return fault(heard, len(heard))


def mismatch(asked, heard):
    """What is wrong with bytes as the answer to a request: words, "" for nothing. A message that waited answers with a
    parameter of its own."""
    why = wrong(heard)
    if why:
        return why
    if heard[FROM_AT:NUMBER_AT] != asked[TO_AT:FROM_AT] or heard[TO_AT:FROM_AT] != asked[FROM_AT:NUMBER_AT]:
        return "of another"
    if heard[NUMBER_AT] != asked[NUMBER_AT] or heard[KIND_AT] > ACK_OVERFLOW:
        return "late"
    same = heard[PID_AT:DATA_LENGTH_AT] == asked[PID_AT:DATA_LENGTH_AT]
    queued = asked[PID_AT] == 0 and asked[PID_AT + 1] == _QUEUED
    if queued:
        return "" if heard[CLASS_AT] in (GET + 1, SET + 1) else "of another"
    return "" if same and heard[CLASS_AT] == asked[CLASS_AT] + 1 else "of another"


def data(answer):
    """The parameter's data of an answer."""
    return bytes(answer[DATA_AT : DATA_AT + answer[DATA_LENGTH_AT]])


def branch(low, high, number):
    """The request DISC_UNIQUE_BRANCH: whoever is not muted, and within low..high, answers with its UID."""
    return request(ALL, number, DISCOVERY, UNIQUE_BRANCH, low.to_bytes(6, "big") + high.to_bytes(6, "big"))


def encode(number):
    """The answer to DISC_UNIQUE_BRANCH of a UID: bytes without a break. Each byte goes out twice, with the bits AAh and
    55h set, so that two answers at once are seen to be two."""
    plain = number.to_bytes(6, "big")
    body = _twice(plain)
    return bytes([PREAMBLE] * PREAMBLE_MOST + [SEPARATOR]) + body + _twice(sum(body).to_bytes(2, "big"))


def decode(heard):
    """The UID of an answer to DISC_UNIQUE_BRANCH: int, or None where it is not whole: two at once, or noise. It refuses
    what has a wrong bit, and mends nothing."""
    at = 0
    while at < len(heard) and at < PREAMBLE_MOST and heard[at] == PREAMBLE:
        at += 1
    if len(heard) != at + 1 + _ENCODED or heard[at] != SEPARATOR:
        return None
    body = heard[at + 1 :]
    for n in range(0, _ENCODED, 2):
        if body[n] & 0xAA != 0xAA or body[n + 1] & 0x55 != 0x55:
            return None
    plain = bytes([body[n] & body[n + 1] for n in range(0, _ENCODED, 2)])
    if sum(body[:12]) & 0xFFFF != word(plain, 6):
        return None
    return uid(plain)


def _twice(plain):
    out = bytearray()
    for value in plain:
        out.append(value | 0xAA)
        out.append(value | 0x55)
    return bytes(out)


def window_us(asked, most, gap_us):
    """How long the line is left to whoever answers, from the end of a request on. asked: the request; most: bytes of
    data that the answer may have; gap_us: the most from one DMX512 packet's break to the next."""
    if asked[PID_AT] == 0 and asked[PID_AT + 1] == UNIQUE_BRANCH:
        return BRANCH_US
    if asked[TO_AT:FROM_AT] == b"\xff\xff\xff\xff\xff\xff":
        return AFTER_ALL_US
    slots = DATA_AT + CHECKSUM + most
    wanted = LOST_US + BREAK_MAX_US + MARK_MAX_US + slots * SLOT_US * 5 // 4
    room = gap_us - DMX_US - _AROUND_US - BREAK_US - MARK_US - SLOT_US * len(asked)
    return max(REST_US, min(wanted, room))
