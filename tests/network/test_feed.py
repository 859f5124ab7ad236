"""sACN through the whole device, on virtual time: what PyPI's `sacn` makes comes to the board with Wi-Fi, and what goes
out on its DMX512 line is looked at. The rules are those of ANSI E1.31-2018 (from memory); 44 packets a second, and the
length of one, are ANSI E1.11's."""

import random
import struct
import uuid

import pytest

from firmware.parts import once
from firmware.show import file_format
from sim import Bench
from sim.disk import MemoryDisk
from sim.radio import Air
from tests import loaded
from tests.network.test_e131 import made

FRAME_MS = 23


class Sender:
    """A desk on the network. priority, name: as it sends them."""

    def __init__(self, net, name="Desk", priority=100, universe=1):
        self.net, self.name, self.priority, self.universe = net, name, priority, universe
        self.cid = uuid.uuid5(uuid.NAMESPACE_URL, name).bytes
        self.sequence = 0

    def send(self, value, **options):
        """A packet with all slots at a value, on its way to the device now."""
        self.sequence = options.pop("sequence", self.sequence + 1 & 255)
        self.net.air.waiting.append(made(bytes([value] * 512), **{
            "cid": self.cid, "name": self.name, "priority": self.priority, "universe": self.universe,
            "sequence": self.sequence, **options}))

    def stop(self):
        """Say that it stops: three packets."""
        for _ in range(3):
            self.send(0, options=0x40)


class Net:
    """The board with Wi-Fi, joined, listening to universe 1; every lamp goes by the highest value."""

    def __init__(self, universe=1, on=1, disk=None, screen=False, board="s3_tft", **settings):
        self.air = Air()
        disk = disk or MemoryDisk()
        told = {"on": on, "wifi": "Studio", "password": "", "universe": universe, "out": 0, **settings}
        disk.write("network.json", bytes(file_format.seal(told, file_format.SCHEMA)))
        self.bench = Bench(board, disk=disk, air=self.air)
        self.bench.step_ms = 23
        if not screen:
            self.app.screen.step = lambda *_args: None  # pictures take most of a test's time
        self.bench.app.stage.blackout = True  # what is lit, the feed lights
        self.run(2)

    @property
    def app(self):
        return self.bench.app

    @property
    def source(self):
        return self.app.input

    @property
    def counts(self):
        """What became of the packets that the network brought."""
        return self.source.sources.counts

    @property
    def slot(self):
        """The first slot on the line."""
        return self.bench.frame[0]

    def run(self, seconds, *senders, value=0, each=FRAME_MS):
        """Let time pass, while these send a value once in so many ms."""
        for _ in range(round(seconds * 1000 / each)):
            for sender in senders:
                sender.send(value)
            self.bench.run(each / 1000)


@pytest.fixture
def net():
    return Net()


# --- how a user comes to it ---

def test_by_knob_and_keys():
    """Settings, Network: from the cable to a Wi-Fi without a password, and to light."""
    net = Net(on=0, wifi="", screen=True)
    b, net.bench.step_ms = net.bench, 20
    b.app.open("settings")
    while not any(line.startswith("Network") for line in b.lines):
        b.turn(1)
        b.run(0.1)
    while b.app.page.item() != "Network":
        b.turn(1)
        b.run(0.1)
    b.press()
    b.run(0.2)
    assert "Feed comes by cable" in b.lines and "Wi-Fi is off" in b.lines
    b.press()
    b.run(0.2)
    assert "Feed comes by both" in b.lines and "Wi-Fi is without a name" in b.lines
    b.turn(2)
    b.press()
    b.run(0.2)
    b.press()  # the first word
    b.hold()
    b.run(0.2)
    assert "Wi-Fi name Studio" in b.lines and "Wi-Fi is joining" in b.lines
    b.turn(6)
    b.run(2.5)
    assert "Wi-Fi is 127.0.0.1" in b.lines and "Signal -58 dBm" in b.lines
    net.run(3, Sender(net), value=99)
    assert net.slot == 99 and "Senders 1" in b.lines
    b.press()
    b.run(0.2)
    assert b.lines[0].startswith("Universe 1") and "Desk in use, 100" in b.lines
    b.cut_power()
    b.boot()
    net.run(5, Sender(net), value=88)
    assert net.slot == 88  # it is kept


def test_a_password_has_all_of_ascii():
    """IEEE 802.11: a passphrase is 8 to 63 printable ASCII characters (from memory)."""
    net = Net()
    net.app.open("network_text", "password", "Password", "")
    page = net.app.page
    there = [page.choice(n) for n in range(page.count())]
    assert sorted(letter for letter in there if len(letter) == 1) == [chr(n) for n in range(32, 127)]
    typed = "a1 b2!" * 10 + "xyz"
    for letter in typed:
        page.at, page.moved = there.index(letter), True
        page.push()
    page.at = 0
    page.push()
    net.run(0.2)
    assert net.source.settings["password"] == typed and net.app.page_name == "network"


@pytest.mark.parametrize("settings, words", [({"wifi": "Elsewhere"}, "no such Wi-Fi"),
                                             ({"password": "lumen123"}, "wrong password"),
                                             ({"wifi": ""}, "without a name")])
def test_why_it_is_not_joined(settings, words):
    net = Net(**settings)
    assert net.source.word() == words and not net.air.groups
    net.run(1, Sender(net), value=9)
    assert net.slot == 0


def test_another_universe_and_its_group(net):
    """Table 9-10 of the standard for the addresses; universe discovery is 64214."""
    assert net.air.groups == ("239.255.0.1", "239.255.250.214")
    net.app.open("network")
    net.app.page.at = net.app.page.items.index("Universe in")
    net.app.page.push()
    net.app.page.dial(net.app.page.item(), 257)
    net.app.page.push()
    assert net.air.groups == ("239.255.1.2", "239.255.250.214")
    net.run(1, Sender(net, "Old"), Sender(net, "New", universe=258), value=7)
    assert [source.name for source in net.source.sources.sources] == ["New"]
    assert net.counts["other"] > 0


def test_what_lists_its_universes_is_there_by_name():
    net = Net(screen=True)
    messages = pytest.importorskip("sacn.messages.universe_discovery", reason="PyPI's sacn is not installed")
    net.air.waiting.append(bytes(messages.UniverseDiscoveryPacket(tuple(range(16)), "Balcony", (4, 7)).getBytes()))
    net.app.open("network_sources")
    net.run(1)
    assert "Balcony has 4, 7" in net.bench.lines
    net.bench.press()
    net.run(0.2)
    assert net.source.settings["universe"] == 4
    net.bench.press()
    net.bench.press()
    net.run(0.2)
    assert net.source.settings["universe"] == 4  # 7, and from the last on to the first


def test_the_code_comes_and_goes():
    """By cable nothing of it is loaded; and when it was and the pages are left, no piece of it is held."""
    with loaded.as_after_boot() as known:
        net = Net(on=0)
        before = loaded.names()
        assert not [name for name in before if "network" in name or "e131" in name]
        assert net.source is net.bench.ports[1]
        net.app.open("network")
        net.app.page.push()
        net.app.open("light")
        assert "firmware.feed_network" in loaded.names()
        for page in (("network_sources",), ("feed",), ("network_text", "wifi", "Wi-Fi name", ""), ("network",)):
            net.app.open(*page)
            net.run(0.3)
        net.app.page.at = 0
        net.app.page.push()
        assert net.source is net.bench.ports[1] and net.app.feed.source is net.source and not net.air.groups
        net.app.open("light")
        net.run(0.3)
        assert [loaded.names() ^ before, loaded.strays(), loaded.outlived(known)] == [set(), [], []]


def test_on_the_rp2350_with_wifi():
    net = Net(board="pico2_w_tft", out=7)
    net.run(3, Sender(net), value=60)
    assert net.slot == 60 and net.source.who() == "sACN" and outward(net)[-1] == ("239.255.0.7", 60, 0)
    net.app.open("settings")
    assert "Network" in net.app.page.items


# --- loss ---

def test_a_gap_of_two_seconds_is_no_loss(net):
    """6.7.1: E131_NETWORK_DATA_LOSS_TIMEOUT is 2.5 s. A cable's feed is lost after 1.25 s (ANSI E1.11)."""
    desk = Sender(net)
    net.run(3, desk, value=60)
    net.run(2.3)
    assert net.app.feed.is_live()
    net.run(0.5)
    assert net.app.feed.is_lost() and net.slot == 60  # the light is held, as for a cable
    net.run(3, desk, value=61)
    assert net.app.feed.is_live() and net.slot == 61


def test_one_that_says_that_it_stops_is_lost_at_once(net):
    """6.2.6: no waiting for the timeout; what the last packets carry is not light."""
    desk = Sender(net)
    net.run(3, desk, value=60)
    desk.stop()
    net.run(0.1)
    assert net.app.feed.is_lost() and net.slot == 60


def test_wifi_that_comes_and_goes(net):
    desk = Sender(net)
    net.run(3, desk, value=60)
    net.air.wifi = {}
    net.run(3, desk, value=70)
    assert net.app.feed.is_lost() and net.slot == 60 and net.source.word() == "no such Wi-Fi"
    net.air.wifi = {"Studio": ""}
    net.run(4, desk, value=80)
    assert net.app.feed.is_live() and net.slot == 80


# --- several senders ---

@pytest.mark.parametrize("says", [False, True], ids=["silent", "terminated"])
def test_priorities_100_and_120(net, says):
    """6.2.3: the highest counts. The other takes over by a fade, not by a jump."""
    low, high = Sender(net, "Low"), Sender(net, "High", 120)
    for _ in range(130):
        low.send(200)
        high.send(100)
        net.run(0.023)
    assert net.slot == 100
    if says:
        high.stop()
    seen = []
    for _ in range(250):
        low.send(200)
        net.run(0.023)
        seen.append(net.slot)
    waited = next(n for n, value in enumerate(seen) if value > 100) * FRAME_MS
    assert waited < 150 if says else 2400 < waited < 2700
    assert seen[-1] == 200 and max(b - a for a, b in zip(seen, seen[1:], strict=False)) <= 5
    assert net.app.feed.losses == 0


def test_late_doubled_and_jumping_packets(net):
    """6.7.2: a number 0 to 19 behind the last is discarded, any other is taken."""
    desk = Sender(net)
    net.run(3, desk, value=10)
    desk.sequence = 100
    for value, sequence, taken in ((20, 101, True), (30, 101, False), (40, 99, False), (50, 82, False),
                                   (60, 81, True), (70, 250, True), (80, 3, True)):
        before = net.slot
        desk.send(value, sequence=sequence)
        net.run(0.1)
        assert net.slot == (value if taken else before), sequence
    assert net.counts["late"] == 3


# --- bad input ---

def test_nothing_from_the_network_changes_anything_but_the_feed(net):
    """Another universe, too short, another vector, 638 octets with a count of 600, start codes, previews, noise."""
    desk, other = Sender(net), Sender(net, "Other", universe=2)
    net.run(3, desk, value=60)
    files, settings = dict(net.bench.disk.files), dict(net.source.settings)
    good = made(bytes([250] * 512), cid=desk.cid, sequence=9)
    rng = random.Random(5)
    for n in range(400):
        bad = bytearray(good)
        bad[111] = n & 255
        kind = n % 6
        if kind == 0:
            bad = bad[:rng.randrange(1, 638)]
        elif kind == 1:
            bad[21] = 5
        elif kind == 2:
            struct.pack_into(">H", bad, 123, 600)
        elif kind == 3:
            bad[125] = 0xDD
        elif kind == 4:
            bad[112] = 0x80
        else:
            bad = rng.randbytes(rng.randrange(1, 1200))
        net.air.waiting.append(bytes(bad))
        other.send(255)
        desk.send(60)
        net.run(0.023)
    assert net.slot == 60 and net.bench.frame[511] == 60
    assert dict(net.bench.disk.files) == files and net.source.settings == settings
    counts = net.counts
    assert counts["other"] == 400 and counts["alternate"] and counts["preview"] and counts["short"] and counts["wrong"]


def test_a_flood_leaves_the_line_its_rate(net):
    """1,000 packets a second; a full DMX512 packet takes 22.7 ms (ANSI E1.11), so that there are 44 a second."""
    desk = Sender(net)
    net.run(3, desk, value=60)
    start, most, net.bench.step_ms = net.bench.clock.us(), 0, 5
    for n in range(0, 1500, 5):
        for m in range(n, n + 5):
            desk.send(m & 255)
        net.bench.step()
        most = max(most, len(net.air.waiting))
    starts = [us for us, _slots in net.bench.line.packets if us > start]
    assert len(starts) >= 1.5 * 43
    assert max(b - a for a, b in zip(starts, starts[1:], strict=False)) < 23_000
    assert most == 0  # it keeps up where a pass of the loop takes 5 ms
    net.air.waiting += [made(bytes(512), cid=desk.cid, sequence=n & 255) for n in range(500)]
    net.bench.step()
    assert len(net.air.waiting) >= 480  # and where it does not, a pass still ends


def test_a_damaged_file_of_settings_leaves_the_cable():
    disk = MemoryDisk()
    disk.write("network.json", b'{"crc":"00000000","on":1}')
    b = Bench("s3_tft", disk=disk, air=Air())
    assert b.app.input is b.ports[1]
    b.run(0.5)
    assert any("network.json" in line for line in b.lines)


# --- figures ---

def test_from_packet_to_wire(net):
    """At most a DMX512 packet of 22.7 ms that is on the wire, the one that carries it, and 5 ms."""
    desk = Sender(net)
    net.run(3, desk, value=10)
    net.bench.step_ms, worst = 5, 0
    rng = random.Random(3)
    for value in range(11, 40):
        net.bench.run(rng.randrange(30, 60) / 1000)
        sent = net.bench.clock.us()
        desk.send(value)
        net.bench.run(0.08)
        out = next(us for us, slots in net.bench.line.packets if us >= sent - 40_000 and slots[0] == value)
        worst = max(worst, out - sent)
    print(f"packet to the break of its frame: {worst / 1000:.1f} ms at the worst")
    assert 0 < worst <= 22_700 + 5_000


def test_a_recording_has_every_packet(net):
    """As from a cable: none is left out, where two come in one pass of the loop either."""
    desk, got = Sender(net), []
    net.run(3, desk, value=1)
    net.app.feed.source = None  # the feed's place is taken by the test
    net.source.every = True
    for value in range(2, 30, 2):
        desk.send(value)
        desk.send(value + 1)
        while (slots := net.source.received()) is not None:
            got.append(slots[0])
    assert got == list(range(2, 30))


def test_time_that_is_moved_back(net):
    """app_time.py: differences stay, so that a sender is neither lost nor kept for ever."""
    desk = Sender(net)
    net.run(3, desk, value=60)
    net.bench.clock.back(-(1 << 29))
    net.source._looked += 1 << 29  # the times are as on a device that has run as long
    net.source.sources.sources[0].heard += 1 << 29
    net.app.feed._packet_ms += 1 << 29
    net.run(1)
    assert net.app.now < 1 << 29 and net.app.feed.is_live() and len(net.source.sources.sources) == 1
    net.run(2)
    assert net.app.feed.is_lost() and not net.source.sources.sources
    net.air.wifi = {}
    net.run(1)
    assert not net.source.joined


# --- out ---

def outward(net):
    """Packets that went out, by the clock of the test: list of (universe's group, value of the first slot, options)."""
    return [(address, data[126], data[112]) for address, data in net.air.sent if len(data) == 638]


@pytest.mark.parametrize("on", [0, 1])
def test_the_light_goes_out_as_a_universe(on):
    """6.6.1: three times, then 800 to 1,000 ms; at most 44 a second; 6.2.6: three packets say that it stops. PyPI's
    sacn reads all of them, and the list of universes."""
    messages = pytest.importorskip("sacn.messages.data_packet", reason="PyPI's sacn is not installed")
    discovery = pytest.importorskip("sacn.messages.universe_discovery", reason="PyPI's sacn is not installed")
    net = Net(on=on, out=258)
    net.app.stage.blackout = False
    net.app.stage.go("Moonlight", 0)
    net.run(3)
    net.air.sent.clear()
    net.run(9)
    address, still = zip(*[(address, data) for address, data in net.air.sent if len(data) == 638], strict=True)
    assert 9 <= len(still) <= 11 and set(address) == {"239.255.1.2"}
    theirs = [messages.DataPacket.make_data_packet(data) for data in still]
    assert {(p.universe, p.priority, p.option_StreamTerminated) for p in theirs} == {(258, 100, False)}
    assert bytes(theirs[-1].dmxData) == net.bench.frame
    net.air.sent.clear()
    net.app.stage.go("Evening", 4)
    net.run(5)
    moving = len(outward(net))
    assert 5 * 20 < moving <= 5 * 44
    lists = [data for address, data in net.air.sent if address == "239.255.250.214"]
    net.run(10)
    lists = [data for address, data in net.air.sent if address == "239.255.250.214"]
    assert lists and discovery.UniverseDiscoveryPacket.make_universe_discovery_packet(lists[0]).universes == (258,)
    net.air.sent.clear()
    once("firmware.ui.pages.settings.network", "put", net.app, "out", 0)
    assert [options for _group, _value, options in outward(net)][-3:] == [0x40] * 3
    net.run(3)
    assert len(outward(net)) <= 4


def test_a_show_that_only_watches_the_feed_sends_all_the_same():
    net = Net(out=258)
    once("firmware.show.feed_settings", "save", net.app.show,
         {"on": 0, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}})
    net.run(3, Sender(net), value=90)
    assert net.app.feed is None and net.slot == 0
    net.air.sent.clear()
    net.run(5, Sender(net), value=90)
    assert 4 <= len(outward(net)) <= 7
    net.app.open("feed")
    net.run(1, Sender(net, "Other"), value=91)
    assert net.app.feed.is_live()


def test_what_goes_out_does_not_come_in_again():
    """Of the same universe, as multicast does on one computer."""
    net = Net(out=1)
    net.app.stage.blackout = False
    net.app.stage.go("Moonlight", 0)
    for _ in range(100):
        net.run(0.023)
        net.air.waiting += [data for _address, data in net.air.sent]
        net.air.sent.clear()
    assert net.counts["good"] == 0 and net.counts["other"] > 0 and not net.app.feed


def test_the_cable_comes_in_while_the_light_goes_out():
    net = Net(on=0, out=3)
    assert net.source is not net.bench.ports[1]
    for _ in range(60):
        net.bench.ports[1].receive(bytes([45] * 512))
        net.run(0.046)
    assert net.slot == 45 and net.app.feed.is_live() and net.source.counts["good"] > 50
    assert [value for _group, value, _options in outward(net)][-1] == 45
    net.run(1.5)
    assert net.app.feed.is_lost()  # ANSI E1.11: 1.25 s
