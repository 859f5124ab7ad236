"""The pocket itself as a responder of RDM (ANSI E1.20), on the port that its feed comes in by: a request in, an answer
or silence out. Loaded while that port answers (firmware/feed_rdm.py).

It has no slots of its own, so its footprint is 0 and its start address FFFFh. A chip asks it from an interrupt, in
which nothing can be put on the heap: all memory is taken when it is made, and no part of a packet is copied out of it.
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
    START_CODE,
    SUB_AT,
    SUB_START_CODE,
    TO_AT,
    UN_MUTE,
    UNIQUE_BRANCH,
)
from firmware.wire.rdm_fault import fault
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

try:  # machine code where the port has an emitter for it
    from firmware.wire.rdm_loops_viper import checksum, copy, difference
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from firmware.wire.rdm_loops import checksum, copy, difference

BRANCH = const(-1)  # what answer() says: the encoded UID goes out
_UID = const(6)  # bytes
_SILENT = const(-2)  # of what a request comes to: nothing; from 0 on: bytes of data; from _REFUSED down: the reason
_REFUSED = const(-100)
# DEVICE_INFO: version 1.0 of the protocol; model 1; a controller (7001h, table of product categories); then, behind the
# version of the software: no slots, personality 1 of 1, no start address, no sub-devices, no sensors.
_INFO, _INFO_END = b"\x01\x00\x00\x01\x70\x01", b"\0\0\x01\x01\xff\xff\0\0\0"


class Responder:
    """`out`: the answer; `identify`: 1 while a desk wants to see which device it is; `label`: its first `label_length`
    bytes are the name that a desk gave it; `renamed`: True from a change of that until whoever keeps it says False."""

    def __init__(self, uid, version, label):
        """uid: six bytes; version: of the software, "0.1.0"; label: bytes, up to 32."""
        self.out = bytearray(DATA_AT + TEXT_MOST + 2)
        self.out[0], self.out[1] = START_CODE, SUB_START_CODE
        self.out[FROM_AT : FROM_AT + _UID] = uid
        self.identify = 0
        self.label = bytearray(TEXT_MOST)
        self.label[: len(label)] = label
        self.label_length = len(label)
        self.renamed = False
        self._own = uid
        self._everybody = b"\xff" * _UID, uid[:2] + b"\xff" * (_UID - 2)  # all, and all of our maker
        self._muted = False
        number = bytes([0] + [int(part) for part in version.split(".")])
        self._plain = {  # what can only be asked for
            DEVICE_INFO: _INFO + number + _INFO_END,
            SUPPORTED_PARAMETERS: b"\0\x80\0\x81\0\x82",  # those below that not every responder must have
            MODEL: b"Pocket lighting controller",
            MAKER: b"Halfstop",
            SOFTWARE_LABEL: version.encode(),
            START_ADDRESS: b"\xff\xff",
        }

    def answer(self, asked, count):
        """Hear the first `count` bytes of `asked` as a request -> how many bytes of `out` answer it, after a break; 0:
        silence; BRANCH: the encoded UID answers it, without a break. What is no request, or damaged, or for others, has
        no effect."""
        if fault(asked, count):
            return 0
        every, us = self._everybody, not difference(self._own, asked, TO_AT, _UID)
        if not us and difference(every[0], asked, TO_AT, _UID) and difference(every[1], asked, TO_AT, _UID):
            return 0
        kind, pid = asked[CLASS_AT], asked[PID_AT] << 8 | asked[PID_AT + 1]
        came = self._discovered(asked, pid) if kind == DISCOVERY else _SILENT
        if kind == SET or kind == GET and us:
            came = self._asked(asked, kind, pid)
        if came == BRANCH:
            return BRANCH
        return 0 if came == _SILENT or not us else self._answered(asked, came)

    def _discovered(self, asked, pid):
        """What a discovery comes to. One that is not as it must be is not refused, but unheard."""
        size = asked[DATA_LENGTH_AT]
        if asked[SUB_AT] or asked[SUB_AT + 1]:
            return _SILENT
        if pid == UNIQUE_BRANCH and size == 2 * _UID:
            inside = (difference(self._own, asked, DATA_AT, _UID) >= 0
                      and difference(self._own, asked, DATA_AT + _UID, _UID) <= 0)
            return BRANCH if inside and not self._muted else _SILENT
        if pid != MUTE and pid != UN_MUTE or size:
            return _SILENT
        self._muted = pid == MUTE
        self.out[DATA_AT] = self.out[DATA_AT + 1] = 0  # no proxy, no sub-devices, no boot loader
        return 2

    def _asked(self, asked, kind, pid):
        """What a GET or SET comes to."""
        size = asked[DATA_LENGTH_AT]
        mine = pid == IDENTIFY or pid == LABEL  # noqa: SIM109  a tuple may lie on the heap
        if asked[SUB_AT] or asked[SUB_AT + 1]:
            return _REFUSED - NO_SUB_DEVICE
        if not mine and pid not in self._plain:
            return _REFUSED - UNKNOWN_PID
        if kind == GET:
            return _REFUSED - FORMAT if size else self._get(pid)
        if not mine:
            return _REFUSED - NOT_THAT_CLASS
        return self._identify(asked, size) if pid == IDENTIFY else self._rename(asked, size)

    def _get(self, pid):
        """Put a parameter's data into the answer -> how many bytes."""
        if pid == IDENTIFY:
            self.out[DATA_AT] = self.identify
            return 1
        data, size = self.label, self.label_length
        if pid != LABEL:
            data = self._plain[pid]
            size = len(data)
        copy(self.out, DATA_AT, data, 0, size)
        return size

    def _identify(self, asked, size):
        if size != 1:
            return _REFUSED - FORMAT
        if asked[DATA_AT] > 1:
            return _REFUSED - OUT_OF_RANGE
        self.identify = asked[DATA_AT]
        return 0

    def _rename(self, asked, size):
        if size > TEXT_MOST:
            return _REFUSED - FORMAT
        for n in range(DATA_AT, DATA_AT + size):
            if not 32 <= asked[n] < 127:
                return _REFUSED - OUT_OF_RANGE
        copy(self.label, 0, asked, DATA_AT, size)
        self.label_length = size
        self.renamed = True
        return 0

    def _answered(self, asked, came):
        """Finish the answer -> its bytes."""
        out, said = self.out, ACK
        if came < 0:
            out[DATA_AT], out[DATA_AT + 1] = 0, _REFUSED - came
            said, came = NACK, 2
        length = DATA_AT + came
        copy(out, TO_AT, asked, FROM_AT, _UID)
        copy(out, NUMBER_AT, asked, NUMBER_AT, DATA_LENGTH_AT - NUMBER_AT)
        out[LENGTH_AT], out[DATA_LENGTH_AT] = length, came
        out[KIND_AT], out[COUNT_AT] = said, 0
        out[CLASS_AT] += 1
        total = checksum(out, length)
        out[length], out[length + 1] = total >> 8, total & 255
        return length + 2
