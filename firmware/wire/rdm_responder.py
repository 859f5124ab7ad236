"""The pocket itself as a responder of RDM (ANSI E1.20), on the port that its feed comes in by: a request in, an answer
or silence out. Loaded while that port answers (firmware/feed_rdm.py).

It has no slots of its own, so its footprint is 0 and its start address FFFFh. A chip asks it from an interrupt, in which
nothing can be put on the heap: all memory is taken when it is made, and UIDs are compared byte by byte.
Numbers: ANSI E1.20 (from memory).
"""

from micropython import const

from firmware.wire.rdm import (
    ACK,
    CLASS_AT,
    COUNT_AT,
    DATA_AT,
    DATA_LENGTH_AT,
    DISCOVERY,
    FROM_AT,
    GET,
    KIND_AT,
    LENGTH_AT,
    MUTE,
    NACK,
    NUMBER_AT,
    PID_AT,
    SET,
    SUB_AT,
    TO_AT,
    UN_MUTE,
    UNIQUE_BRANCH,
    encode,
    packet,
    put_checksum,
    wrong,
)
from firmware.wire.rdm_pids import (
    DEVICE_INFO,
    FORMAT,
    IDENTIFY,
    LABEL,
    MAKER,
    MODEL,
    NO_SUB_DEVICE,
    NOT_THAT_CLASS,
    OUT_OF_RANGE,
    SOFTWARE_LABEL,
    START_ADDRESS,
    SUPPORTED_PARAMETERS,
    TEXT_MOST,
    UNKNOWN_PID,
)

BRANCH = const(-1)  # what answer() says: `encoded` goes out
_US, _ALL = const(1), const(2)  # whom a request is for
_UID = const(6)
# DEVICE_INFO: version 1.0 of the protocol; model 1; a controller (7001h, table of product categories); then, behind the
# version of the software: no slots, personality 1 of 1, no start address, no sub-devices, no sensors.
_INFO, _INFO_END = b"\x01\x00\x00\x01\x70\x01", b"\0\0\x01\x01\xff\xff\0\0\0"


class Responder:
    """`out`: the answer; `encoded`: its UID as the answer to a discovery; `identify`: 1 while a desk wants to see which
    one it is; `label`: its first `label_length` bytes are the name that a desk gave it; `renamed`: True from a change of
    that until whoever keeps it says False."""

    def __init__(self, uid, version, label):
        """uid: int of 48 bits; version: of the software, "0.1.0"; label: bytes, up to 32."""
        self.out = packet(0, uid, 0, 0, 0, 0, 0, bytes(TEXT_MOST))
        self.encoded = encode(uid)
        self.identify = 0
        self.label = bytearray(TEXT_MOST)
        self.label[: len(label)] = label
        self.label_length = len(label)
        self.renamed = False
        self._uid = uid.to_bytes(_UID, "big")
        self._muted = False
        number = bytes([0] + [int(part) for part in version.split(".")])
        self._plain = {  # what can only be asked for
            DEVICE_INFO: _INFO + number + _INFO_END,
            # Only those that not every responder must have.
            SUPPORTED_PARAMETERS: b"".join([pid.to_bytes(2, "big") for pid in (MODEL, MAKER, LABEL)]),
            MODEL: b"Pocket lighting controller",
            MAKER: b"Halfstop",
            SOFTWARE_LABEL: version.encode(),
            START_ADDRESS: b"\xff\xff",
        }

    # Machine code on the chips.
    def answer(self, asked, count):
        """Hear the first `count` bytes of `asked` as a request -> how many bytes of `out` answer it, after a break; 0:
        silence; BRANCH: `encoded` answers it, without a break. What is no request, or damaged, or for others, has no
        effect."""
        if wrong(asked, count):
            return 0
        whom, kind = self._whom(asked), asked[CLASS_AT]
        if not whom or kind == GET and whom == _ALL:
            return 0
        pid = asked[PID_AT] << 8 | asked[PID_AT + 1]
        if kind == DISCOVERY:
            return self._discovered(asked, pid, whom)
        if kind != GET and kind != SET:
            return 0
        why = self._refused(asked, kind, pid)
        if why >= 0:
            self.out[DATA_AT], self.out[DATA_AT + 1] = 0, why
            return self._answered(asked, whom, NACK, 2)
        size = self._get(pid) if kind == GET else self._set(asked, pid)
        return self._answered(asked, whom, ACK, size)

    # Machine code on the chips.
    def _whom(self, asked):
        """Whether a request is for this device, for all, or all of its maker, or (0) for others."""
        own = every = True
        for n in range(_UID):
            own = own and asked[TO_AT + n] == self._uid[n]
            every = every and (n < 2 or asked[TO_AT + n] == 255)
        one, two = asked[TO_AT], asked[TO_AT + 1]
        if every and (one == two == 255 or one == self._uid[0] and two == self._uid[1]):
            return _ALL
        return _US if own else 0

    # Machine code on the chips.
    def _discovered(self, asked, pid, whom):
        """As answer(). A discovery that is not as it must be is not refused, but unheard."""
        size = asked[DATA_LENGTH_AT]
        if asked[SUB_AT] or asked[SUB_AT + 1]:
            return 0
        if pid == UNIQUE_BRANCH and size == 2 * _UID:
            inside = self._beyond(asked, DATA_AT) >= 0 and self._beyond(asked, DATA_AT + _UID) <= 0
            return BRANCH if inside and not self._muted else 0
        if pid != MUTE and pid != UN_MUTE or size:
            return 0
        self._muted = pid == MUTE
        self.out[DATA_AT] = self.out[DATA_AT + 1] = 0  # no proxy, no sub-devices, no boot loader
        return self._answered(asked, whom, ACK, 2)

    # Machine code on the chips.
    def _beyond(self, asked, at):
        """How the own UID compares with the one at a place of a request: above 0, below 0, or the same."""
        for n in range(_UID):
            more = self._uid[n] - asked[at + n]
            if more:
                return more
        return 0

    # Machine code on the chips.
    def _refused(self, asked, kind, pid):
        """The number of the reason why a request is refused, -1: it is not."""
        size = asked[DATA_LENGTH_AT]
        if asked[SUB_AT] or asked[SUB_AT + 1]:
            return NO_SUB_DEVICE
        if pid != IDENTIFY and pid != LABEL:
            if pid not in self._plain:
                return UNKNOWN_PID
            if kind == SET:
                return NOT_THAT_CLASS
        if kind == GET:
            return FORMAT if size else -1
        if pid == IDENTIFY:
            return FORMAT if size != 1 else OUT_OF_RANGE if asked[DATA_AT] > 1 else -1
        if size > TEXT_MOST:
            return FORMAT
        for n in range(size):
            if not 32 <= asked[DATA_AT + n] < 127:
                return OUT_OF_RANGE
        return -1

    # Machine code on the chips.
    def _get(self, pid):
        """Put a parameter's data into the answer -> how many bytes."""
        if pid == IDENTIFY:
            self.out[DATA_AT] = self.identify
            return 1
        data, size = self.label, self.label_length
        if pid != LABEL:
            data = self._plain[pid]
            size = len(data)
        for n in range(size):
            self.out[DATA_AT + n] = data[n]
        return size

    # Machine code on the chips.
    def _set(self, asked, pid):
        """Set a parameter -> how many bytes the answer has: none."""
        if pid == IDENTIFY:
            self.identify = asked[DATA_AT]
            return 0
        size = asked[DATA_LENGTH_AT]
        for n in range(size):
            self.label[n] = asked[DATA_AT + n]
        self.label_length = size
        self.renamed = True
        return 0

    # Machine code on the chips.
    def _answered(self, asked, whom, said, size):
        """Finish the answer -> its bytes; 0 where all were asked: then nobody answers. size: of its data."""
        if whom == _ALL:
            return 0
        out, length = self.out, DATA_AT + size
        for n in range(_UID):
            out[TO_AT + n] = asked[FROM_AT + n]
        out[LENGTH_AT], out[DATA_LENGTH_AT] = length, size
        out[NUMBER_AT], out[KIND_AT] = asked[NUMBER_AT], said
        out[COUNT_AT], out[CLASS_AT] = 0, asked[CLASS_AT] + 1
        for n in range(SUB_AT, CLASS_AT):
            out[n] = asked[n]
        for n in range(PID_AT, DATA_LENGTH_AT):
            out[n] = asked[n]
        put_checksum(out, length)
        return length + 2
