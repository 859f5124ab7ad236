"""sACN against programs that know nothing of ours: Wireshark's `acn` dissector reads every kind of packet that we send,
PyPI's `sacn` makes packets for us and reads ours. The rules are those of ANSI E1.31-2018, from memory."""

import shutil
import struct
import subprocess
import uuid

import pytest

import boards
from firmware.wire import e131, e131_discovery, e131_merge, e131_out
from firmware.wire.e131_sources import Sources
from host import pack
from tests.vm import runner

CID, OTHER = uuid.UUID(int=0x1234).bytes, uuid.UUID(int=0x5678).bytes
SLOTS = bytes((7 * n) & 255 for n in range(512))


def made(slots=SLOTS, cid=CID, name="Desk", universe=1, priority=100, sequence=0, options=0, start=0):
    """A packet of PyPI's sacn, an independent maker."""
    messages = pytest.importorskip("sacn.messages.data_packet", reason="PyPI's sacn is not installed")
    out = messages.DataPacket(tuple(cid), name, universe, tuple(slots), priority, sequence,
                              bool(options & 0x40), bool(options & 0x80))
    data = bytearray(out.getBytes())
    data[125] = start
    return bytes(data)


def read(data):
    packet = e131.Packet()
    packet.data[:len(data)] = data
    return packet.read(len(data)), packet


class Net:
    """Sources, and packets that come to them."""

    def __init__(self, universe=1):
        self.sources, self.now = Sources(universe), 1000

    def take(self, value, ms=23, **options):
        """A packet with all slots at a value -> True where the frame is new."""
        self.now += ms
        kind, packet = read(made(bytes([value] * 512), **options))
        assert kind == e131.DATA
        return self.sources.take(packet, self.now)

    @property
    def first(self):
        return self.sources.frame[0]


# --- the packet ---

def test_a_packet_of_another_program_is_read():
    kind, packet = read(made(name="Tüll", universe=63999, priority=200, sequence=255, options=0x80))
    assert kind == e131.DATA
    assert (packet.universe, packet.priority, packet.sequence, packet.count) == (63999, 200, 255, 512)
    assert packet.cid == CID and e131.text(packet.name) == "Tüll" and bytes(packet.slots) == SLOTS
    assert packet.preview and not packet.terminated and packet.start == 0


def test_another_program_reads_ours():
    messages = pytest.importorskip("sacn.messages.data_packet", reason="PyPI's sacn is not installed")
    sender = e131_out.Sender(CID, "Halfstop", 258, 120, 0)
    assert sender.due(0, SLOTS)
    theirs = messages.DataPacket.make_data_packet(bytes(sender.packet))
    assert bytes(theirs.dmxData) == SLOTS and bytes(theirs.cid) == CID
    assert (theirs.universe, theirs.priority, theirs.sequence, theirs.dmxStartCode) == (258, 120, 1, 0)
    assert theirs.sourceName.rstrip("\0") == "Halfstop"
    assert not theirs.option_StreamTerminated and not theirs.option_PreviewData


def test_our_list_of_universes_is_read_by_another_program():
    messages = pytest.importorskip("sacn.messages.universe_discovery", reason="PyPI's sacn is not installed")
    ours = e131_out.discovery_packet(CID, "Halfstop", (1, 300))
    theirs = messages.UniverseDiscoveryPacket.make_universe_discovery_packet(bytes(ours))
    assert tuple(theirs.universes) == (1, 300) and (theirs.page, theirs.lastPage) == (0, 0)
    assert bytes(messages.UniverseDiscoveryPacket(tuple(CID), "Halfstop", (1, 300)).getBytes()) == bytes(ours)


def test_a_list_of_universes_of_another_program_is_kept_by_name():
    messages = pytest.importorskip("sacn.messages.universe_discovery", reason="PyPI's sacn is not installed")
    kind, packet = read(bytes(messages.UniverseDiscoveryPacket(tuple(CID), "Desk", (7, 9)).getBytes()))
    assert kind == e131.DISCOVERY
    found = e131_discovery.Found()
    found.take(packet, 0)
    found.take(packet, 10000)
    assert [row[1:3] for row in found.sources] == [["Desk", [7, 9]]]
    found.step(34000)
    assert found.sources  # the interval is 10 s
    found.step(36000)
    assert not found.sources


def test_a_long_name_ends_with_a_whole_letter():
    """63 octets of UTF-8 and a zero (table 4-1)."""
    data = e131_out.data_packet(CID, "ü" * 40, 1, 100)
    assert data[44:107].rstrip(b"\0").decode() == "ü" * 31 and data[107] == 0


def dissected(tmp_path, datagrams):
    """What Wireshark's acn dissector says of each: list of texts."""
    if shutil.which("tshark") is None:
        pytest.skip("tshark is not installed (Debian package tshark)")
    capture = struct.pack("<IHHiIII", 0xA1B2C3D4, 2, 4, 0, 0, 65535, 101)  # libpcap's format, raw IP
    for n, data in enumerate(datagrams):
        udp = struct.pack(">HHHH", 5568, 5568, 8 + len(data), 0)
        ip = struct.pack(">BBHHHBBH4s4s", 0x45, 0, 28 + len(data), n, 0, 20, 17, 0, bytes([192, 0, 2, 1]),
                         bytes([239, 255, 0, 1]))
        frame = ip + udp + bytes(data)
        capture += struct.pack("<IIII", n, 0, len(frame), len(frame)) + frame
    path = tmp_path / "sent.pcap"
    path.write_bytes(capture)
    command = ["tshark", "-r", str(path), "--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-V", "-Y", "acn"]
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    return said.split("\nFrame ")


def test_wireshark_reads_every_data_packet_that_we_send(tmp_path):
    """Not the list of universes: the dissector of Wireshark 4.0 leaves such a packet alone, whoever made it."""
    sender = e131_out.Sender(CID, "Halfstop", 300, 120, 0)
    assert sender.due(0, SLOTS)
    packets = [bytes(sender.packet)] + [bytes(packet) for packet in sender.end()]
    said = dissected(tmp_path, packets)
    assert len(said) == len(packets) == 4
    for n, text in enumerate(said):
        assert "alformed" not in text
        for words in ("Source: Halfstop", "Priority: 120", "Universe: 300", "Length: 622", "Count: 513",
                      "Start Code: 0 (0x00)", "Preview Data: False", f"Stream Terminated: {n > 0}"):
            assert words in text, (words, text)


# --- bad input ---

@pytest.mark.parametrize("change, why", [
    (lambda d: d[:100], e131.SHORT),
    (lambda d: d[:637], e131.SHORT),
    (lambda d: d[:22], e131.SHORT),
    (lambda d: b"", e131.SHORT),
    (lambda d: bytes([1]) + d[1:], e131.WRONG),  # preamble
    (lambda d: d[:21] + b"\5" + d[22:], e131.WRONG),  # vector of the root layer,
    (lambda d: d[:43] + b"\3" + d[44:], e131.WRONG),  # of the framing layer,
    (lambda d: d[:117] + b"\3" + d[118:], e131.WRONG),  # of the DMP layer
    (lambda d: d[:123] + struct.pack(">H", 600) + d[125:], e131.WRONG),  # 638 bytes with a count of 600
    (lambda d: d[:123] + struct.pack(">H", 0) + d[125:], e131.WRONG),
    (lambda d: d[:123] + struct.pack(">H", 100) + d[125:], e131.WRONG),  # the PDUs' lengths say otherwise
    (lambda d: d[:16] + struct.pack(">H", 0x726D) + d[18:], e131.WRONG),
    (lambda d: d[:16] + struct.pack(">H", 0x026E) + d[18:], e131.WRONG),  # no flags
    (lambda d: d[:108] + b"\xc9" + d[109:], e131.WRONG),  # priority 201
    (lambda d: d[:113] + struct.pack(">H", 0) + d[115:], e131.WRONG),
    (lambda d: d[:113] + struct.pack(">H", 64000) + d[115:], e131.WRONG),
])
def test_what_is_no_packet_is_refused(change, why):
    assert read(change(made()))[0] == why


def test_a_short_frame_is_good():
    kind, packet = read(bytes(e131_out.data_packet(CID, "Desk", 1, 100)))
    assert kind == e131.DATA and packet.count == 512
    short = bytearray(e131_out.data_packet(CID, "Desk", 1, 100)[:125 + 25])
    for at, length in ((16, 134), (38, 112), (115, 35)):
        struct.pack_into(">H", short, at, 0x7000 | length)
    struct.pack_into(">H", short, 123, 25)
    kind, packet = read(bytes(short))
    assert kind == e131.DATA and packet.count == 24


def test_what_is_not_ours_changes_nothing():
    net = Net()
    net.take(9)
    for options in ({"universe": 2}, {"options": 0x80, "cid": OTHER}, {"start": 0xDD, "sequence": 1}):
        assert not net.take(200, **options)
    assert net.first == 9 and len(net.sources.sources) == 1
    assert [net.sources.counts[why] for why in ("good", "other", "preview", "alternate")] == [1, 1, 1, 1]


def test_what_this_device_sends_itself_does_not_come_back():
    net = Net()
    net.sources = Sources(1, OTHER)
    assert not net.take(200, cid=OTHER) and not net.sources.sources


# --- the rules ---

@pytest.mark.parametrize("behind, taken", [(0, False), (1, False), (19, False), (20, True), (-1, True), (-100, True),
                                           (100, True)])
@pytest.mark.parametrize("last", [5, 130, 250])
def test_sequence(last, behind, taken):
    """6.7.2: a difference of -19 to 0 is discarded, over the wrap too."""
    net = Net()
    net.take(1, sequence=last)
    assert net.take(2, sequence=last - behind & 255) is taken
    assert net.first == (2 if taken else 1)


def test_the_higher_priority_counts_and_the_lower_takes_over():
    """6.2.3, with 100 and 120."""
    net = Net()
    net.take(50, sequence=1)
    assert net.take(20, cid=OTHER, priority=120, sequence=1)
    assert net.first == 20 and net.sources.switched
    net.sources.switched = False
    assert not net.take(60, sequence=2)
    assert net.first == 20
    for n in range(3):
        net.take(61, ms=1000, sequence=3 + n)  # the other has fallen silent
        net.sources.step(net.now)
    assert net.first == 61 and net.sources.switched


def test_equal_priorities_are_merged_by_the_highest():
    net = Net()
    for n, (cid, slots) in enumerate(((CID, bytes([10, 200] * 256)), (OTHER, bytes([100, 20] * 256)))):
        kind, packet = read(made(slots, cid=cid, sequence=n))
        assert kind == e131.DATA and net.sources.take(packet, net.now)
    assert bytes(net.sources.frame) == bytes([100, 200] * 256)


def test_a_source_that_says_that_it_stops_is_gone_at_once():
    """6.2.6; and its two further packets do not bring it back."""
    net = Net()
    net.take(50, cid=OTHER, sequence=1)
    net.take(20, sequence=1)
    assert net.first == 50
    for n in range(3):
        net.take(0, cid=OTHER, sequence=2 + n, options=0x40)
    assert net.first == 20 and len(net.sources.sources) == 1


def test_a_source_that_stops_without_a_word_is_gone_after_two_and_a_half_seconds():
    """6.7.1; its last frame stays."""
    net = Net()
    net.take(50)
    net.sources.step(net.now + 2500)
    assert net.sources.top == 100
    net.sources.step(net.now + 2501)
    assert net.sources.top == -1 and net.first == 50


def test_more_sources_than_there_is_room_for():
    """A fifth is left alone, unless it counts more than one of the four."""
    net = Net()
    for n in range(5):
        net.take(10 + n, cid=uuid.UUID(int=n + 1).bytes)
    assert net.first == 13 and net.sources.counts["surplus"] == 1
    net.take(5, cid=OTHER, priority=101)
    assert net.first == 5 and len(net.sources.sources) == 4


# --- what we send ---

def test_no_more_than_44_a_second_while_light_moves():
    """6.6.2 asks for no more than ANSI E1.11 allows: 44 full packets."""
    sender = e131_out.Sender(CID, "Halfstop", 1, 100, 0)
    sent = [ms for ms in range(10_000) if sender.due(ms, bytes([ms & 255] * 512))]
    assert 430 <= len(sent) <= 440 and sender.sent == len(sent)


def test_a_still_frame_goes_out_three_times_and_then_stays_alive():
    """6.6.1: three times, then every 800 to 1,000 ms."""
    sender = e131_out.Sender(CID, "Halfstop", 1, 100, 0)
    sent = [ms for ms in range(10_000) if sender.due(ms, SLOTS)]
    gaps = [b - a for a, b in zip(sent, sent[1:], strict=False)]
    assert max(gaps[:2]) < 50 and gaps[2:] and all(800 <= gap <= 1000 for gap in gaps[2:])
    listed = [ms for ms in range(0, 25_000, 5) if sender.listing_due(ms)]
    assert listed == [0, 10_000, 20_000]


def test_the_end_is_said_three_times():
    sender = e131_out.Sender(CID, "Halfstop", 1, 100, 0)
    sender.due(0, SLOTS)
    numbers = [(packet[111], packet[112]) for packet in sender.end()]
    assert numbers == [(2, 0x40), (3, 0x40), (4, 0x40)]


def test_groups_are_those_of_the_standard():
    """Table 9-10: 239.255 and the two octets of the universe; universe discovery is 64214."""
    assert e131.group(1) == "239.255.0.1" and e131.group(258) == "239.255.1.2"
    assert e131.group(e131.DISCOVERY_UNIVERSE) == "239.255.250.214"


def test_the_highest_of_two():
    into = bytearray(bytes(range(256)) * 2)
    other = bytes(reversed(range(256))) * 2
    e131_merge.highest(into, other, 512)
    assert bytes(into) == bytes(map(max, bytes(range(256)) * 2, other))


def test_the_machine_code_does_the_same(tmp_path):
    """And a memoryview is compared with bytes as on the desktop: the whole path on the real VM."""
    path = tmp_path / "packets"
    path.write_bytes(made(bytes([3, 200] * 256)) + made(bytes([100, 7] * 256), cid=OTHER, sequence=4))
    assert bytes.fromhex(runner.run("tests/network/vm_e131.py", path)) == bytes([100, 200] * 256)


def test_only_boards_with_wifi_get_it():
    """A Pico pays no byte of flash."""
    for name in boards.NAMES:
        described = boards.load(name)
        found = pack.modules(described)
        has = {path for path in found if pack.is_wireless(path) or "radio" in path or "network" in path}
        assert len(has) == (16 if getattr(described, "WIFI", False) else 0), has
        assert not any(path.startswith(f"hal/{family}/") for path in found for family in pack.FAMILY.values()
                       if family != pack.FAMILY[described.CHIP])
