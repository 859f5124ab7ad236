"""The desktop's DMX512 port: sends on the virtual clock with ANSI E1.11's timing, and receives.

It is passive: time passes when somebody calls it. Only packets are stored; edges are made when asked for.
"""

from collections import namedtuple

from firmware.wire import dmx
from hal.receiver import Receiver
from sim import wave

_Sent = namedtuple("_Sent", "start_us slots break_us mark_us end_us cut_us")
_Asked = namedtuple("_Asked", "start_us packet break_us mark_us end_us answer_us answer led over_us")
_HISTORY = 256
_RDM_BREAK_US, _RDM_MARK_US = 200, 20  # of a request, as hal/rp2/rdm sends it
_ANSWER_BREAK_US, _ANSWER_MARK_US = 184, 20
_TURN_US = 600  # from the end of a desk's request to our answer; the emulated RP2040 takes about as long
_RDM_DRIVEN_US = 250  # of mark, from when the port drives again until the next break
# The chip's queue is four words long, so which frame comes next is settled while this much is still to be sent.
_AHEAD_US = 225  # five slots
_AHEAD_WAITING_US = 260  # the same where the refresh rate is limited: five waits of 50 µs
# Items of the receiver's ring, a slot each (hal/rp2): beyond them all is lost.
_RING = 3840 - 3840 // 8
_BREAK_ITEMS = 4


class Line:
    """One universe out and in; fulfils hal/contract.Line. clock: has us() and ms(), ints of virtual time.
    slots: the most it sends. After power-up it is idle until the first send()."""

    has_input = True
    rdm = "sim.rdm_port"
    cable = None  # the sim.rdm_lamps.Cable on it, or None
    responder = encoded = None  # what answers requests that come in: hal/contract.Answers.begin's, or None

    def __init__(self, clock, slots=dmx.SLOTS_MAX, break_us=dmx.BREAK_US, mark_us=dmx.MARK_US, hz=0):
        self._clock, self._most = clock, slots
        self._sent = []  # the newest last
        self.asked = []  # exchanges by RDM, its own or those of a desk: request, answer and their times
        self._next = self._held = self._slots = None
        self._free_us = 0  # the next packet may start from here
        self._ahead_us = 0  # and takes the frame that was the newest this much earlier
        self._drive = True
        self.timing(hz, break_us, mark_us)
        self._forget_input()

    # -- hal/contract.Line: out

    def send(self, slots):
        """Repeat these slots from the next packet on."""
        dmx.check_slots(len(slots))
        if len(slots) > self._most:
            raise ValueError("this line sends %d slots at most, not %d" % (self._most, len(slots)))
        self.run_until(self._clock.us())
        if self._slots is None:
            self._begin()
        self._slots = bytes(slots)

    def timing(self, hz=0, break_us=dmx.BREAK_US, mark_us=dmx.MARK_US):
        """Packets a second (0: the most the length allows), break and mark after break in µs."""
        dmx.check_timing(hz, break_us, mark_us)
        self.run_until(self._clock.us())
        self._hz, self._break_us, self._mark_us = hz, break_us, mark_us

    def held(self):
        """The slots on the line when the chip last restarted without losing power, or None."""
        return self._held

    @property
    def drive(self):
        """False: the line is not driven, and is idle for a receiver."""
        return self._drive

    @drive.setter
    def drive(self, on):
        self.run_until(self._clock.us())
        if self._drive and not on:
            self._break_off()
        if on and not self._drive:
            self._begin()
        self._drive = on

    # -- hal/contract.Line: in

    @property
    def every(self):
        """True: received() hands up each packet, the oldest first."""
        return self._receiver.every

    @every.setter
    def every(self, on):
        self._receiver.every = on

    @property
    def counts(self):
        self._receive_due()
        return self._receiver.counts

    def received(self):
        """The newest whole packet of start code 0 not handed up before (or the oldest: `every`), or None."""
        if self._drive:
            return None
        self._receive_due()
        packet = self._receiver.take(self._clock.us() // 1000)
        return packet and memoryview(bytes(packet))  # edges come in at any time, and would fill what is out

    def receive(self, slots, start_code=0, us=None):
        """A legal packet comes in. slots: bytes-like, 1..512; us: when its last slot ends (default: now)."""
        self._incoming.append((self._clock.us() if us is None else us, bytes((start_code,)) + bytes(slots)))

    def receive_edges(self, edges):
        """Any waveform comes in: (ns, level) in order of time. It is judged as the chips judge it; a
        packet is whole once the break after it has ended in a mark."""
        self._edge_receiver.hear(list(edges))

    def ask_in(self, packet):
        """A desk's RDM request comes in -> what it hears: (bytes, whether a break leads them). The answer begins before
        the firmware's next step, as on a chip, where an interrupt makes it."""
        start = self._clock.us()
        end = start + _RDM_BREAK_US + _RDM_MARK_US + dmx.SLOT_US * len(packet)
        answer, led = b"", False
        if self.responder and not self._drive:
            count = self.responder.answer(packet, len(packet))
            led = count > 0
            answer = bytes(self.responder.out[:count]) if led else self.encoded if count else b""
        self.receive(packet[1:], packet[0], end)
        self.asked.append(_Asked(start, bytes(packet), _RDM_BREAK_US, _RDM_MARK_US, end, end + _TURN_US, answer, led,
                                 end + _TURN_US + dmx.SLOT_US * len(answer)))
        del self.asked[:-_HISTORY]
        return answer, led

    def _receive_due(self):
        now = self._clock.us()
        due = sum(len(values) + _BREAK_ITEMS for us, values in self._incoming if us <= now)
        if due > _RING:
            self._receiver.refuse("lost")
            while self._incoming and self._incoming[0][0] <= now:
                self._incoming.pop(0)
        while self._incoming and self._incoming[0][0] <= now and not self._receiver.stop():
            _, values = self._incoming.pop(0)
            self._receiver.n = 0
            for value in values:
                self._receiver.put(value)
            if self._receiver.n >= 0:
                self._receiver.finish()

    def _forget_input(self):
        self.responder = None
        self._receiver = Receiver()
        self._edge_receiver = wave.Ear(self._receiver)
        self._incoming = []

    # -- the wire as time passes

    def run_until(self, us):
        """Start every packet that is due up to `us`, each with the newest whole frame when it was settled."""
        while self._slots is not None and self._drive and self._free_us - self._ahead_us <= us:
            self._start(self._free_us)

    def _begin(self):
        """The next packet starts now, if the one before has ended."""
        self._free_us, self._ahead_us = max(self._free_us, self._clock.us()), 0

    def _start(self, us):
        count = len(self._slots)
        end = us + dmx.length_us(count, self._break_us, self._mark_us)
        self._sent.append(_Sent(us, self._slots, self._break_us, self._mark_us, end, None))
        del self._sent[:-_HISTORY]
        idle = dmx.idle_us(count, self._hz, self._break_us, self._mark_us)
        self._free_us, self._ahead_us = end + idle, _AHEAD_WAITING_US if idle else _AHEAD_US

    def _break_off(self):
        """The packet that is on the wire now ends here and is not whole; none follows."""
        now = self._clock.us()
        while self._sent and self._sent[-1].start_us > now:
            self._sent.pop()
        if self._sent and self._sent[-1].end_us > now and self._sent[-1].cut_us is None:
            self._sent[-1] = _Sent(*self._sent[-1][:5], now)
        self._free_us = now

    def cut(self):
        """Power is lost: the packet on the wire breaks off and nothing is held."""
        self.restart()
        self._held = None

    def restart(self):
        """The chip restarts with its power on: idle until the next send(); held() returns the slots."""
        self.run_until(self._clock.us())
        self._break_off()
        self._held, self._slots, self._drive = self._slots, None, True
        self._forget_input()

    def ask(self, packet, window_us):
        """An RDM request goes out after the packet that is on the wire, and the lamps on the cable may answer. Tells
        what is on the wire then: (µs when it is over, bytes heard). Errors: ValueError: nothing is sent."""
        now = self._clock.us()
        self.run_until(now)
        if self._slots is None or not self._drive:
            raise ValueError("The line is silent")
        start = max(self._free_us, now)
        end = start + _RDM_BREAK_US + _RDM_MARK_US + dmx.SLOT_US * len(packet)
        wait, heard, led = self.cable.ask(packet, window_us) if self.cable else (0, b"", False)
        over = end + window_us + _RDM_DRIVEN_US
        self.asked.append(_Asked(start, bytes(packet), _RDM_BREAK_US, _RDM_MARK_US, end, end + wait, heard, led, over))
        del self.asked[:-_HISTORY]
        self._free_us, self._ahead_us = over, _AHEAD_US
        return over, heard

    def now_us(self):
        """The clock's time, µs."""
        return self._clock.us()

    # -- what an onlooker sees

    @property
    def frame(self):
        """The 512 slots of the last whole packet: bytes. Slots it did not have are 0."""
        now = self._clock.us()
        self.run_until(now)
        for p in reversed(self._sent):
            if p.end_us <= now and p.cut_us is None:
                return p.slots + bytes(dmx.SLOTS_MAX - len(p.slots))
        return bytes(dmx.SLOTS_MAX)

    @property
    def packets(self):
        """The last 256 packets that ended: list of (µs at the start of the break, slots)."""
        now = self._clock.us()
        self.run_until(now)
        return [(p.start_us, p.slots) for p in self._sent if p.end_us <= now and p.cut_us is None]

    def slot_end_us(self, start_us, slot):
        """When a slot (1..512) of the packet that started at start_us has its last stop bit out, in µs."""
        for p in self._sent:
            if p.start_us == start_us:
                return start_us + dmx.length_us(slot, p.break_us, p.mark_us)
        raise ValueError("no stored packet started at %d us" % start_us)

    def change_us(self, slot, since_us, value=None):
        """When a slot (1..512) first left the wire with another value than the packet under way at
        since_us gives it (or with `value`): µs, or None if it has not by now."""
        now = self._clock.us()
        self.run_until(now)
        before = None
        for p in [p for p in self._sent if p.start_us <= now]:
            has = p.slots[slot - 1] if slot <= len(p.slots) else None
            end = p.start_us + dmx.length_us(slot, p.break_us, p.mark_us)
            if p.start_us <= since_us:
                before = has
            elif end <= now and p.cut_us is None and (has == value if value is not None else has != before):
                return end
        return None

    def edges(self, since_us=None):
        """(ns, level) of the stored packets that started at since_us or later, up to now."""
        now = self._clock.us()
        self.run_until(now)
        for p in sorted(self._sent + self.asked, key=lambda p: p.start_us):
            if p.start_us <= now and (since_us is None or p.start_us >= since_us):
                yield from self._asked_edges(p, now) if isinstance(p, _Asked) else self._packet_edges(p, now)

    def _asked_edges(self, asked, now):
        """The edges of an exchange, up to now: the request, and what answered it."""
        edges, _end = wave.packet(asked.start_us * 1000, asked.packet[1:], asked.break_us, asked.mark_us,
                                  asked.packet[0])
        at = asked.answer_us * 1000
        if asked.led and asked.answer:
            edges += wave.packet(at, asked.answer[1:], _ANSWER_BREAK_US, _ANSWER_MARK_US, asked.answer[0])[0]
        else:
            for n, value in enumerate(asked.answer):
                edges += wave.slot(at + n * dmx.SLOT_US * 1000, value)
        yield from (edge for edge in edges if edge[0] <= now * 1000)

    def _packet_edges(self, sent, now):
        stop = 1000 * min(now, sent.cut_us if sent.cut_us is not None else now)
        level = 1
        for ns, level in wave.packet(sent.start_us * 1000, sent.slots, sent.break_us, sent.mark_us)[0]:
            if ns > stop:
                level = 1 - level
                break
            yield ns, level
        if sent.cut_us is not None and level == 0:
            yield stop, 1

    def save_vcd(self, path, packets=3, stretch=1.005):
        """Write vcd() to a file. Errors: as there."""
        text = self.vcd(packets, stretch)
        with open(path, "w", encoding="ascii") as file:
            file.write(text)

    def vcd(self, packets=3, stretch=1.005):
        """The last whole packets as a VCD file: text. 100 ns a step, begun 40 µs before a break, time stretched
        by half a per cent (ANSI E1.11 allows 2): sigrok's decoder then reads it (it loses its place where a
        stop bit ends on a sample). The file's times divided by `stretch` are the line's.
        Errors: ValueError when no packet has ended yet."""
        starts = [start for start, _ in self.packets][-packets:]
        if not starts:
            raise ValueError("nothing to save: no packet has ended yet")
        last = max(p.end_us for p in self._sent if p.start_us == starts[-1])
        edges = [edge for edge in self.edges(starts[0]) if edge[0] < last * 1000]
        return wave.vcd(edges, last * 1000 + 40_000, stretch)
