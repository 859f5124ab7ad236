"""A bigger desk that feeds the pocket and asks it by RDM (ANSI E1.20): finds it, reads what it is, names it, lets it
show itself, and lets it be again.

Written apart from firmware/wire, which answers it: the two judge each other. Numbers: ANSI E1.20 (from memory).
"""

DISCOVERY, GET, SET = 0x10, 0x20, 0x30
EVERYBODY = 0xFFFFFFFFFFFF
UID = 0x7FF500DE0001  # its own, of the numbers for prototypes
LABEL = "Pocket at the desk"
_READ = ((0x0060, "DEVICE_INFO"), (0x0050, "SUPPORTED_PARAMETERS"), (0x0080, "model"), (0x0081, "maker"),
         (0x0082, "label"), (0x00C0, "software"), (0x00F0, "start address"), (0x1000, "identify"))
_SHOW_S = 6  # that it lets the pocket show itself
_TRIES = 3


class Desk:
    """`found`: {UID: {what was read: bytes}}; `refused`: [(UID, parameter, reason's number)]; `word`: what it does."""

    def __init__(self):
        self.found, self.refused = {}, []
        self.word = "looks for devices"
        self._number = 0
        self._asks = self._session()
        self._next = next(self._asks)  # a request, s to wait, or None at the end

    def step(self, seconds):
        """The request that goes out now, or None. seconds: since the last call."""
        if isinstance(self._next, float):
            self._next = max(0.0, self._next - seconds)
            if self._next == 0:
                self.hear(None)
        return self._next if isinstance(self._next, bytes) else None

    def hear(self, answer):
        """What came back for the request that went out: bytes, b"" for silence; None: it has waited."""
        try:
            self._next = self._asks.send(answer)
        except StopIteration:
            self._next = None

    # --- what it does, as requests that are answered ---

    def _session(self):
        yield self._request(EVERYBODY, DISCOVERY, 3)
        yield from self._search(0, EVERYBODY - 1)
        for uid in self.found:
            self.word = "reads %s" % words(uid)
            for pid, name in _READ:
                self.found[uid][name] = yield from self._ask(uid, GET, pid)
        for uid in self.found:
            self.word = "lets %s show itself" % words(uid)
            yield from self._ask(uid, SET, 0x1000, b"\1")
            yield float(_SHOW_S)
            yield from self._ask(uid, SET, 0x1000, b"\0")
            yield from self._ask(uid, SET, 0x0082, LABEL.encode())
            self.found[uid]["label"] = yield from self._ask(uid, GET, 0x0082)
            yield from self._ask(uid, SET, 0x00F0, b"\0\1")
        told = ["%s %s, named %s" % (words(uid), text(told.get("model")), text(told.get("label")))
                for uid, told in self.found.items()]
        self.word = "found %s" % ("; ".join(told) or "nobody")

    def _search(self, low, high):
        """Halve the range until each that answers is muted."""
        while True:
            heard = yield self._request(EVERYBODY, DISCOVERY, 1, low.to_bytes(6, "big") + high.to_bytes(6, "big"))
            if not heard:
                return
            uid = decoded(heard)
            if uid is not None and (yield from self._ask(uid, DISCOVERY, 2)) is not None:
                self.found[uid] = {}
                continue
            if low == high:
                return
            middle = (low + high) // 2
            yield from self._search(low, middle)
            low = middle + 1

    def _ask(self, uid, kind, pid, data=b""):
        """Ask until there is an answer -> its data, or None."""
        for _ in range(_TRIES):
            packet = self._request(uid, kind, pid, data)
            heard = yield packet
            if not answers(packet, heard):
                continue
            if heard[16] == 0:
                return heard[24:-2]
            self.refused.append((uid, pid, int.from_bytes(heard[24:-2], "big")))
            return None
        return None

    def _request(self, uid, kind, pid, data=b""):
        self._number = (self._number + 1) & 255
        body = bytes((0xCC, 1, 24 + len(data))) + uid.to_bytes(6, "big") + UID.to_bytes(6, "big")
        body += bytes((self._number, 1, 0, 0, 0, kind)) + pid.to_bytes(2, "big") + bytes((len(data),)) + data
        return body + (sum(body) & 0xFFFF).to_bytes(2, "big")


def answers(packet, heard):
    """True where what was heard is a whole answer to a request."""
    if len(heard) < 26 or heard[0] != 0xCC or heard[2] != len(heard) - 2 or heard[23] != len(heard) - 26:
        return False
    whole = sum(heard[:-2]) & 0xFFFF == int.from_bytes(heard[-2:], "big")
    return whole and heard[3:9] == packet[9:15] and heard[9:15] == packet[3:9] and heard[15] == packet[15] and (
        heard[20] == packet[20] + 1 and heard[21:23] == packet[21:23])


def decoded(heard):
    """The UID of an answer to a discovery, or None where it is not whole."""
    body = heard[heard.find(b"\xaa") + 1 :]
    if len(body) != 16 or heard[: -len(body) - 1].strip(b"\xfe"):
        return None
    plain = bytes([body[n] & body[n + 1] for n in range(0, 16, 2)])
    if sum(body[:12]) & 0xFFFF != int.from_bytes(plain[6:], "big"):
        return None
    return int.from_bytes(plain[:6], "big")


def words(uid):
    """A UID as it is written."""
    return "%04X:%04X%04X" % (uid >> 32, uid >> 16 & 0xFFFF, uid & 0xFFFF)


def text(data):
    """Text of a device."""
    return data.decode() if data else "nothing"
