"""Conversations with responders: a request until it is answered, a search until all are found. Loaded while lamps are
asked for.

A conversation is a generator: it yields a request (bytearray) and is sent what was heard in answer (bytes-like, empty
for silence), or yields a number of ms and is sent None once they are over. Whoever runs it has the line
(stage/rdm_link.py, tests). So several of them can share a line, an exchange each, and nothing here waits or reads a
clock.
"""

from micropython import const

from firmware.wire import rdm, rdm_pids

_TRIES = const(3)
_TIMERS = const(6)  # how often a responder may ask for more time
_TIMER_MOST_MS = const(3000)  # how long that may be at once
_MUTE_MOST = const(8)  # bytes: the control field, and the UID of a port
_PARTS = const(8)  # of an answer that takes several packets: 1,848 bytes


class Talk:
    """`counts`: what went wrong, by its words: "silent", "noise", "checksum", "late" and so on, and "refused"; `why`:
    the words for the last request that came to nothing; `asked`: how many requests were made; `gap_us`: the most from
    one DMX512 packet to the next, for whoever has the line; `most`: the data that the answer to the last request may
    have."""

    def __init__(self, gap_us=50_000):
        self.counts = {}
        self.why = ""
        self.asked = self.most = 0
        self.gap_us = gap_us
        self._number = 0

    def window_us(self, packet):
        """How long the line is left alone after a request that this has yielded, µs."""
        return rdm.window_us(packet, self.most, self.gap_us)

    def get(self, uid, pid, data=b""):
        """Ask for a parameter -> its data: bytes; or None: `why` says why not."""
        return self._whole(uid, rdm.GET, pid, data)

    def set(self, uid, pid, data=b""):
        """Set a parameter -> b"" where the responder has said yes; None: `why` says why not. That it did it only a get
        can tell."""
        return self._whole(uid, rdm.SET, pid, data)

    def next_number(self):
        """The number of the next transaction."""
        self._number = self._number + 1 & 255
        self.asked += 1
        return self._number

    def count(self, why):
        """Count what went wrong."""
        self.why = why
        self.counts[why] = self.counts.get(why, 0) + 1

    # --- inside ---

    def _whole(self, uid, kind, pid, data):
        """A request with all that its answer may need: more time, more packets."""
        out, parts, timers, about = b"", 0, 0, pid
        while parts < _PARTS and timers <= _TIMERS:
            answer = yield from self.once(uid, kind, pid, data)
            if answer is None:
                return None
            said = answer[rdm.KIND_AT]
            if said == rdm.NACK:
                self.count("refused")
                self.why = rdm_pids.reason(rdm.data(answer))
                return None
            if said == rdm.ACK_TIMER:
                timers += 1
                answered, kind, pid, data = yield from self._later(uid, rdm.data(answer), about, (kind, pid, data))
                if answered is not None:
                    return answered
                continue
            out += rdm.data(answer)
            if said == rdm.ACK:
                return out
            parts += 1  # ACK_OVERFLOW: the same request gives the next part
        self.count("no end")
        return None

    def _later(self, uid, timer, about, request):
        """The responder wants time -> (data or None, what to ask next). The answer then waits among its messages."""
        tenths = rdm.word(timer) if len(timer) == 2 else 1
        yield min(_TIMER_MOST_MS, tenths * 100 + 1)
        answer = yield from self.once(uid, rdm.GET, rdm_pids.QUEUED_MESSAGE, b"\x04")  # STATUS_ERROR
        if answer is not None and answer[rdm.KIND_AT] == rdm.ACK and rdm.word(answer, rdm.PID_AT) == about:
            return rdm.data(answer), 0, 0, b""
        kind, pid, data = request
        return None, kind, pid, data

    def once(self, uid, kind, pid, data=b""):
        """One request, again where it is not answered rightly -> the answer, or None."""
        most = _MUTE_MOST if kind == rdm.DISCOVERY else rdm_pids.answer_most(pid, kind == rdm.GET)
        for _ in range(_TRIES):
            packet = rdm.request(uid, self.next_number(), kind, pid, data)
            self.most = most
            heard = yield packet
            why = rdm.mismatch(packet, heard) if heard else "silent"
            if not why:
                return heard
            self.count(why)
        return None
