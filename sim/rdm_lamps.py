"""Lamps that answer RDM requests (ANSI E1.20), each with faults of its own, and the cable that they share.

Written apart from firmware/wire, which asks them: the two judge each other. Numbers: ANSI E1.20 (from memory).
"""

import random

GET, GET_RESPONSE, SET, SET_RESPONSE = 0x20, 0x21, 0x30, 0x31
DISCOVERY, DISCOVERY_RESPONSE = 0x10, 0x11
ACK, ACK_TIMER, NACK, OVERFLOW = range(4)
UNKNOWN, FORMAT, READ_ONLY, RANGE = 0x0000, 0x0001, 0x0005, 0x0006
EVERYBODY = 0xFFFFFFFFFFFF
SLOT_US = 44
TURN_US = 250  # from a request's end to the answer's break; a responder may take 176 µs to 2 ms
BREAK_US, MARK_US = 184, 20  # of an answer

# What a lamp may suffer from. deaf: a mute is ignored; slow: it wants more time for each answer; late: it answers after
# the window; stubborn: it says yes and does nothing; flips: the share of answers with one bit wrong; misses: the share
# of requests that it does not hear; extra: bytes after its answers.
HEALTHY = {"deaf": False, "slow": False, "late": False, "stubborn": False, "flips": 0.0, "misses": 0.0, "extra": 0}

# Slot labels by what a channel does: ANSI E1.20, table of slot labels; E1.37-5 those from 0x0211 on (from memory).
LABELS = {"level": 0x0001, "red": 0x0205, "green": 0x0206, "blue": 0x0207, "cct": 0x0208, "amber": 0x0211,
          "white": 0x0212, "warm": 0x0213, "cool": 0x0214, "hue": 0x0216, "sat": 0x0217}

SAYS = {"duv": "Green/magenta", "mix": "White/colour crossfade"}  # slots without a label, in the maker's words


class Lamp:
    """One responder. uid: int; model: text; modes: list of (name, channels), as personality.py has channels; address:
    its start address; mode: from 0; faults: any of HEALTHY's keys."""

    def __init__(self, uid, model="Lamp", modes=(("Dimmer", (("level", 0, -1),)),), address=1, mode=0, label="",
                 faults=None, hours=120, sensors=(("Head", 1, 0, 41),), seed=0, maker="Sedge & Rook"):
        self.uid, self.model, self.modes, self.address, self.mode = uid, model, list(modes), address, mode
        self.label, self.hours, self.sensors, self.maker = label, hours, list(sensors), maker
        self.faults = dict(HEALTHY, **(faults or {}))
        self.muted = self.identify = False
        self.heard = 0  # requests that were for it
        self._dice = random.Random(seed ^ uid)
        self._waiting = []  # answers that it wanted time for: (class, pid, data)

    # --- a request comes in ---

    def answer(self, packet):
        """The answer to a request -> (µs until it begins, bytes, whether a break leads it), or None. What is no request
        for it, or broken, gets none."""
        length = len(packet) - 2
        if length < 24 or packet[0] != 0xCC or packet[1] != 1 or packet[2] != length or packet[23] != length - 24:
            return None
        if sum(packet[:length]) & 0xFFFF != int.from_bytes(packet[length:], "big"):
            return None
        if self.faults["misses"] and self._dice.random() < self.faults["misses"]:
            return None
        to = int.from_bytes(packet[3:9], "big")
        if to not in (self.uid, EVERYBODY, self.uid >> 32 << 32 | 0xFFFFFFFF):
            return None
        self.heard += 1
        kind, pid, data = packet[20], int.from_bytes(packet[21:23], "big"), packet[24:length]
        if kind == DISCOVERY and pid == 1:
            return self._branch(data)
        said, about, out = self._discovery(pid) if kind == DISCOVERY else self._asked(kind, pid, bytes(data))
        if to != self.uid or said is None:
            return None
        return self._sent(packet, kind, said, about, out)

    def _branch(self, data):
        low, high = int.from_bytes(data[:6], "big"), int.from_bytes(data[6:12], "big")
        if self.muted or not low <= self.uid <= high:
            return None
        doubled = b"".join(bytes((b | 0xAA, b | 0x55)) for b in self.uid.to_bytes(6, "big"))
        check = sum(doubled) & 0xFFFF
        tail = b"".join(bytes((b | 0xAA, b | 0x55)) for b in check.to_bytes(2, "big"))
        return TURN_US, self._flip(b"\xfe" * 7 + b"\xaa" + doubled + tail), False

    def _discovery(self, pid):
        if pid == 2:
            self.muted = not self.faults["deaf"]
        elif pid == 3:
            self.muted = False
        else:
            return None, pid, b""
        return ACK, pid, b"\0\0"

    def _sent(self, packet, kind, said, about, out):
        """The answer as a packet, with its faults."""
        body = bytearray((0xCC, 1, 24 + len(out))) + packet[9:15] + self.uid.to_bytes(6, "big")
        waiting = len(self._waiting)
        body += bytes((packet[15], said, waiting, 0, 0, kind + 1)) + about.to_bytes(2, "big") + bytes((len(out),)) + out
        body += (sum(body) & 0xFFFF).to_bytes(2, "big")
        wait = 40_000 if self.faults["late"] else TURN_US
        return wait, self._flip(bytes(body)) + self._dice.randbytes(self.faults["extra"]), True

    def _flip(self, data):
        if self.faults["flips"] and self._dice.random() < self.faults["flips"]:
            at = self._dice.randrange(len(data) * 8)
            data = bytearray(data)
            data[at // 8] ^= 1 << at % 8
        return bytes(data)

    # --- parameters ---

    def _asked(self, kind, pid, data):
        """(response type, parameter, data)."""
        if pid == 0x0020 and kind == GET:
            return self._queued()
        done = self._get(pid, data) if kind == GET else self._set(pid, data)
        if isinstance(done, int):
            return NACK, pid, done.to_bytes(2, "big")
        if self.faults["slow"] and pid != 0x0020:
            self._waiting.append((pid, done))
            return ACK_TIMER, pid, (2).to_bytes(2, "big")
        return ACK, pid, done

    def _queued(self):
        if not self._waiting:
            return ACK, 0x0030, b""
        pid, data = self._waiting.pop(0)
        return ACK, pid, data

    def _get(self, pid, data):
        """Data, or the number of a refusal."""
        plain = {
            0x0050: lambda: b"".join(p.to_bytes(2, "big") for p in (0x80, 0x81, 0x82, 0xE0, 0xE1, 0x120, 0x200, 0x201,
                                                                   0x400, 0x401)),
            0x0060: self._info,
            0x0080: self.model.encode,
            0x0081: self.maker.encode,
            0x0082: self.label.encode,
            0x00C0: lambda: b"1.0",
            0x00E0: lambda: bytes((self.mode + 1, len(self.modes))),
            0x00F0: lambda: self.address.to_bytes(2, "big"),
            0x0030: lambda: b"",
            0x0120: self._slots,
            0x0400: lambda: (self.hours * 3).to_bytes(4, "big"),
            0x0401: lambda: self.hours.to_bytes(4, "big"),
            0x1000: lambda: bytes((self.identify,)),
        }
        if pid in plain:
            return plain[pid]()
        if pid == 0x00E1:
            return self._mode_text(data)
        if pid == 0x0121:
            return self._slot_text(data)
        if pid in (0x0200, 0x0201):
            return self._sensor(pid, data)
        return UNKNOWN

    def _info(self):
        return (b"\x01\x00" + (sum(self.model.encode()) & 0xFFFF).to_bytes(2, "big") + b"\x01\x01" + b"\0\0\0\x01"
                + self.footprint().to_bytes(2, "big") + bytes((self.mode + 1, len(self.modes)))
                + self.address.to_bytes(2, "big") + b"\0\0" + bytes((len(self.sensors),)))

    def footprint(self, mode=None):
        """Slots of a mode."""
        channels = self.modes[self.mode if mode is None else mode][1]
        return 1 + max(max(c[1], c[2]) for c in channels)

    def _mode_text(self, data):
        if len(data) != 1 or not 1 <= data[0] <= len(self.modes):
            return RANGE
        return data + self.footprint(data[0] - 1).to_bytes(2, "big") + self.modes[data[0] - 1][0].encode()[:32]

    def _slots(self):
        out = {}
        for does, coarse, fine, *_ in self.modes[self.mode][1]:
            out[coarse] = coarse.to_bytes(2, "big") + b"\0" + LABELS.get(does, 0xFFFF).to_bytes(2, "big")
            if fine >= 0:
                out[fine] = fine.to_bytes(2, "big") + b"\x01" + coarse.to_bytes(2, "big")
        return b"".join(out[slot] for slot in sorted(out))

    def _slot_text(self, data):
        found = [c for c in self.modes[self.mode][1] if c[1] == int.from_bytes(data, "big")]
        return data + SAYS.get(found[0][0], found[0][0]).encode()[:32] if found and len(data) == 2 else RANGE

    def _sensor(self, pid, data):
        if len(data) != 1 or data[0] >= len(self.sensors):
            return RANGE
        name, unit, prefix, value = self.sensors[data[0]]
        if pid == 0x0201:
            return data + value.to_bytes(2, "big", signed=True) * 4
        return data + bytes((0, unit, prefix)) + b"\x80\x00\x7f\xff" * 2 + b"\x03" + name.encode()

    def _set(self, pid, data):
        done = None
        if pid == 0x00F0:
            done = self._number(data, 2, 1, 512, "address")
        elif pid == 0x00E0:
            done = self._number(data, 1, 1, len(self.modes), "mode", -1)
        elif pid == 0x1000:
            done = self._number(data, 1, 0, 1, "identify")
        elif pid == 0x0082:
            if len(data) > 32:
                return FORMAT
            self.label, done = data.decode("ascii", "replace"), b""
        return READ_ONLY if done is None else done

    def _number(self, data, size, low, high, name, add=0):
        value = int.from_bytes(data, "big")
        if len(data) != size:
            return FORMAT
        if not low <= value <= high:
            return RANGE
        if not self.faults["stubborn"]:
            setattr(self, name, value + add)
        return b""


class Cable:
    """Responders on one cable. `log`: what went over it: (request, bytes heard, whether a break led them)."""

    def __init__(self, lamps=(), seed=1):
        self.lamps = list(lamps)
        self.log = []
        self.short = False  # a short circuit: nothing comes through
        self.flips = 0.0  # the share of packets, both ways, with one bit wrong
        self.noise = False  # no termination: whatever is heard is broken
        self._dice = random.Random(seed)

    def ask(self, packet, window_us):
        """What a controller hears in the window after its request -> (µs until it begins, bytes, break or not)."""
        sent = self._flip(bytes(packet))
        answers = [] if self.short else [a for a in (lamp.answer(sent) for lamp in self.lamps) if a]
        answers = [(wait, data, led) for wait, data, led in answers
                   if wait + (BREAK_US + MARK_US if led else 0) + SLOT_US * len(data) <= window_us]
        wait, data, led = self._together(answers) if len(answers) > 1 else answers[0] if answers else (0, b"", False)
        data = self._flip(data)
        if self.noise:
            data = self._dice.randbytes(self._dice.randrange(1, 30))
        self.log.append((bytes(packet), data, led))
        return wait, data, led

    def _flip(self, data):
        if data and self.flips and self._dice.random() < self.flips:
            at = self._dice.randrange(len(data) * 8)
            data = bytearray(data)
            data[at // 8] ^= 1 << at % 8
        return bytes(data)

    def _together(self, answers):
        """Several at once: each bit is won by either, a little apart in time, so that what is heard is neither."""
        if len({a[1] for a in answers}) == 1:
            return answers[0]
        data = bytearray(max((a[1] for a in answers), key=len))
        for _wait, other, _led in answers:
            for n, value in enumerate(other):
                data[n] = data[n] & value if self._dice.random() < 0.5 else data[n] | value
        return answers[0][0], bytes(data), answers[0][2]
