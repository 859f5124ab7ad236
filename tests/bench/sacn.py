"""sACN (ANSI E1.31) through the whole device on virtual time, two universes in and both ports out: how long a packet
takes to its wire, what is lost in ten minutes, what a flood and a Wi-Fi that comes and goes do to the line, and what
the heap holds meanwhile.

The packets are made by PyPI's `sacn`."""

import pathlib
import random
import tempfile

from firmware.show import file_format
from sim import Bench, demo
from sim.disk import FolderDisk, MemoryDisk
from sim.play import STEP_MS
from sim.radio import Air
from tests.bench.weight import found, pieces, scene
from tests.network.test_e131 import made
from tests.vm.runner import ROOT

_RATE_US = 1_000_000 // 44  # between packets, as a full DMX512 line has them (ANSI E1.11)
_MINUTES = 10
_FLOOD_S = 10
_FLOOD_US = 1000
_CYCLES = 10  # of a Wi-Fi that is there for 5 s, and away for 5 s
_RADIO = ROOT / "tests/network/vm_radio.py"
_NUMBER = 508  # the packet's number stands in the four slots from here on


def figures():
    """worst_ms, p50_ms: from a datagram's arrival to the break of the packet that carries it, of both universes, one_*
    of one alone. lost: packets of `n` that the feed never had; passed_over: those that a newer one replaced before the
    line was free. refresh_hz, gap_ms: of each line. flood_*: 1,000 packets a second, flood_worst_ms of those that went
    out; wifi_*: it comes and goes. heap_*: bytes more on the 32-bit VM while it is in use, heap_network more than
    heap_feed_by_cable, heap_two more than that with a second universe in and out, and a lamp there."""
    one = ten_minutes(1)[0]
    delays, n, lost, passed_over, lines = ten_minutes(2)
    flood_hz, flood_gap, flood_ms, waiting = flood()
    losses, wifi_gap, held, back_s = comes_and_goes()
    cable, network, two = heap()
    return {
        "worst_ms": round(delays[-1], 2), "p50_ms": round(delays[len(delays) // 2], 2), "lost": lost, "universes": 2,
        "one_worst_ms": round(one[-1], 2), "one_p50_ms": round(one[len(one) // 2], 2),
        "refresh_hz": [line[0] for line in lines], "gap_ms": [line[1] for line in lines],
        "n": n, "minutes": _MINUTES, "passed_over": passed_over,
        "flood_refresh_hz": flood_hz, "flood_gap_ms": flood_gap, "flood_worst_ms": flood_ms, "flood_waiting": waiting,
        "wifi_cycles": _CYCLES, "wifi_losses": losses, "wifi_gap_ms": wifi_gap, "wifi_held": held,
        "wifi_back_s": back_s, "heap_feed_by_cable": cable, "heap_network": network, "heap_two": two,
        "note": f"steps of {STEP_MS} ms; a packet waits for the one on the line, 22.7 ms at most, which is never torn; "
                "heap without the radio's driver, bytecode in place of machine "
                "code; wifi_back_s has the 1.5 s that the simulated radio takes to join",
    }


class Device:
    """A board with Wi-Fi that is joined, and a desk that sends to it. Nothing is drawn: that is the bench `draw`."""

    def __init__(self, universes=1):
        self.air, disk = Air(), MemoryDisk()
        told = {"on": 1, "wifi": "Studio", "universe2": 2 if universes > 1 else 0}
        for name, content in (("network.json", told), ("kit.json", {"port2": universes - 1})):
            disk.write(name, bytes(file_format.seal(content, file_format.SCHEMA)))
        demo.write(disk)
        self.bench = Bench("s3_tft", show=None, disk=disk, air=self.air)
        self.bench.app.screen.step = lambda *_args: None
        for n in range(64 if universes > 1 else 0):  # all that a second universe may have
            self.bench.app.show.rig.add(("dim", "rgb", "tint")[n % 3], None, 513 + 4 * n)
        self.packets = [bytearray(made(bytes(512), name="Desk", universe=n + 1)) for n in range(universes)]
        self.sent = [{} for _ in self.packets]  # of each universe: {number: µs at which it came}
        self.seen = [{} for _ in self.packets]  # {number: µs of the break with which it went out}
        self.starts = [set() for _ in self.packets]  # of packets on the line, µs
        self.bench.run(2.5)

    @property
    def now(self):
        """µs."""
        return self.bench.clock.us()

    def send(self, at):
        """A packet of each universe comes in at a time."""
        for packet, sent in zip(self.packets, self.sent, strict=True):
            number = len(sent) + 1
            sent[number] = at
            packet[111] = number & 255
            packet[126 + _NUMBER:] = number.to_bytes(4, "big")
            self.air.waiting.append(bytes(packet))

    def run(self, seconds, period=0, dice=None):
        """Let time pass, while packets come so many µs apart; 0: none. dice: up to 1 ms more or less."""
        end, due = self.now + int(seconds * 1e6), self.now
        while self.now < end:
            while period and due <= self.now + STEP_MS * 1000:
                self.send(due)
                due += period + (dice.randrange(-1000, 1000) if dice else 0)
            self.bench.step()
            for port, starts, seen in zip(self.bench.ports, self.starts, self.seen, strict=False):
                for start, slots in port.packets[-4:]:
                    starts.add(start)
                    seen.setdefault(int.from_bytes(slots[_NUMBER:], "big"), start)

    def line(self, since, universe=0):
        """(packets a second, the longest time from break to break in ms) of a line since a time."""
        starts = sorted(start for start in self.starts[universe] if start > since)
        gaps = [b - a for a, b in zip(starts, starts[1:], strict=False)]
        return round(len(gaps) * 1e6 / (starts[-1] - starts[0]), 2), round(max(gaps) / 1000, 2)

    def delays(self, first):
        """ms that packets from a number on took to their lines, rising."""
        return sorted((seen[n] - us) / 1000 for sent, seen in zip(self.sent, self.seen, strict=True)
                      for n, us in sent.items() if n >= first and n in seen)

    def good(self):
        """How many packets the feed has had."""
        source = self.bench.app.input
        return source.sources.counts["good"] + (source.second.counts["good"] if source.second else 0)


def ten_minutes(universes):
    """44 packets a second of each, as exactly apart as a radio lets them be -> delays, packets, lost, passed over, and
    of each line what Device.line gives."""
    device = Device(universes)
    device.run(3, _RATE_US)  # the feed fades in
    first, began = len(device.sent[0]) + 1, device.now
    taken = device.good()
    device.run(60 * _MINUTES, _RATE_US, random.Random(44))
    n = universes * (len(device.sent[0]) - first + 1)
    lines = [device.line(began, universe) for universe in range(universes)]
    device.run(0.1)
    lost = n - (device.good() - taken)
    delays = device.delays(first)
    return delays, n, lost, n - lost - len(delays), lines


def flood():
    """1,000 packets a second -> refresh and gap of the line, the worst delay of what went out, datagrams that waited
    at the most."""
    device, most = Device(), 0
    device.run(3, _RATE_US)
    first, began = len(device.sent[0]) + 1, device.now
    for _ in range(_FLOOD_S * 1000 // STEP_MS):
        device.run(STEP_MS / 1000, _FLOOD_US)
        most = max(most, len(device.air.waiting))
    return *device.line(began), round(device.delays(first)[-1], 2), most


def comes_and_goes():
    """-> how often the feed was lost, the line's longest gap in ms, whether its frame stayed each time, and the longest
    time in s from the Wi-Fi's return to the first packet of the desk on the line."""
    device, held, back = Device(), True, 0
    device.run(3, _RATE_US)
    began, wifi = device.now, device.air.wifi
    for _ in range(_CYCLES):
        device.air.wifi = {}
        device.run(0.1, _RATE_US)
        last = device.bench.frame
        device.run(4.9, _RATE_US)
        held = held and device.bench.app.feed.is_lost() and device.bench.frame == last
        device.air.wifi, since = wifi, device.now
        returned = len(device.sent[0]) + 1
        device.run(5, _RATE_US)
        back = max(back, min(us for n, us in device.seen[0].items() if n >= returned) - since)
    return device.bench.app.feed.losses, device.line(began)[1], held, round(back / 1e6, 2)


_PORT = '''
class Port(sim.vm.Line):
    has_input, fresh = True, False
    slots_in = bytes(512)
    def received(self):
        if self.fresh:
            self.fresh = False
            return self.slots_in
'''
_CHOOSE = '''
class Module:
    pass
Module.Radio = Radio
sys.modules["radio_of_the_bench"] = Module
from firmware.parts import once
board, app = device.board, device.app
with open(sys.argv[1] + "/packet", "rb") as file:
    packet = bytearray(file.read())
board.lines += (Port(),)
once("firmware.feed_sources", "choose", app)
device.run(1)
'''
_BY_CABLE = '''
for _ in range(150):
    board.lines[1].fresh = True
    device.run(0.02)
'''
_BY_NETWORK = '''
board.radio = "radio_of_the_bench"
for key, value in (("wifi", "Studio"), ("on", 1), ("out", 2)):
    once("firmware.ui.pages.settings.network", "put", app, key, value)
for n in range(150):
    packet[111] = n
    board.made.data = packet
    device.run(0.02)
assert app.feed.is_live() and app.input.who() == "sACN"
'''

_TWO_RIG = '''
app.show.rig.add("rgb", "Far", 613)
app.show.save_rig()
device.run(1)
'''
_TWO_ON = '''
once("firmware.ui.pages.settings.network", "put", app, "universe2", 2)
once("firmware.ui.pages.settings.network", "put", app, "out2", 3)
device.run(1)
'''
_TWO = '''
for n in range(300):
    packet[111] = n // 2
    packet[114] = n % 2 + 1
    board.made.data = packet
    device.run(0.02)
assert app.feed.count == 1024, app.feed.count
'''


def heap():
    """Bytes that a feed in use by the cable takes on the 32-bit VM, what it takes more by the network, which also
    sends, and then with two universes."""
    with tempfile.TemporaryDirectory() as folder:
        demo.write(FolderDisk(folder))
        pathlib.Path(folder, "packet").write_bytes(made(bytes(512), name="Desk"))
        parts = scene(folder, "320x240x4") + [_PORT + _RADIO.read_text() + _CHOOSE, _BY_CABLE, "device.run(1)"]
        parts += [_BY_NETWORK] + ["device.run(0.1)"] * 3
        parts += [_TWO_RIG, _TWO_ON, _TWO] + ["device.run(0.1)"] * 3
        said = found(pieces(parts, folder))
    before, cable, network, two = said[2], min(said[3:5]), min(said[5:9]), min(said[11:])
    return cable - before, network - cable, two - network
