"""The pocket as a responder, firmware/wire/rdm_responder.py: ANSI E1.20's rules for responders (from memory), judged by
Wireshark's dissector, by the search and the talk that find lamps, and by packets that the tests make themselves."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.wire import rdm, rdm_pids
from firmware.wire.rdm_responder import BRANCH, Responder
from firmware.wire.rdm_search import Search
from firmware.wire.rdm_talk import Talk
from sim.rdm_lamps import Cable, Lamp
from tests.rdm.dissector import read
from tests.rdm.talks import run

UID = 0x7FF05A123456
ENCODED = rdm.encode(UID)
DESK = 0x7FF500000001
ALL, MAKERS = 0xFFFFFFFFFFFF, 0x7FF0FFFFFFFF
LABELS = st.text(string.ascii_letters + string.digits + " -/", max_size=32)


def pocket(label=b""):
    return Responder(UID.to_bytes(6, "big"), "0.1.0", label)


def asked(kind, pid, data=b"", to=UID, sub=0, source=DESK, number=77):
    """A request, made here byte by byte: E1.20's packet format."""
    body = bytes((0xCC, 1, 24 + len(data))) + to.to_bytes(6, "big") + source.to_bytes(6, "big") + bytes((number, 1, 0))
    body += sub.to_bytes(2, "big") + bytes((kind,)) + pid.to_bytes(2, "big") + bytes((len(data),)) + data
    return body + (sum(body) & 0xFFFF).to_bytes(2, "big")


def said(responder, packet):
    """What answers: bytes, b"" for silence."""
    count = responder.answer(packet, len(packet))
    return ENCODED if count == BRANCH else bytes(responder.out[:count])


def branch(low, high):
    return asked(0x10, 1, low.to_bytes(6, "big") + high.to_bytes(6, "big"), ALL)


def parsed(answer, packet):
    """(response type, data) of an answer that is right in all else for its request."""
    assert answer[:2] == b"\xcc\x01" and len(answer) == answer[2] + 2
    assert sum(answer[:-2]) & 0xFFFF == int.from_bytes(answer[-2:], "big")
    assert answer[3:9] == packet[9:15], "to whom asked"
    assert answer[9:15] == UID.to_bytes(6, "big")
    assert (answer[15], answer[17]) == (packet[15], 0), "the request's transaction; no message waits"
    assert answer[18:20] == packet[18:20] and answer[20] == packet[20] + 1 and answer[21:23] == packet[21:23]
    assert answer[23] == len(answer) - 26
    return answer[16], answer[24:-2]


# Response types: ACK 00h, NACK_REASON 02h; the reasons by E1.20's table. (class, parameter, data) -> (type, data).
ANSWERS = (
    (0x20, 0x0050, b"", 0, b"\x00\x80\x00\x81\x00\x82"),  # SUPPORTED_PARAMETERS has not those that all must have
    (0x20, 0x0060, b"", 0, b"\x01\x00\x00\x01\x70\x01\x00\x00\x01\x00\0\0\x01\x01\xff\xff\0\0\0"),
    (0x20, 0x0080, b"", 0, b"Pocket lighting controller"),
    (0x20, 0x0081, b"", 0, b"Halfstop"),
    (0x20, 0x0082, b"", 0, b"Stage left"),
    (0x20, 0x00C0, b"", 0, b"0.1.0"),
    (0x20, 0x00F0, b"", 0, b"\xff\xff"),  # a footprint of 0 has no start address
    (0x20, 0x1000, b"", 0, b"\0"),
    (0x10, 0x0002, b"", 0, b"\0\0"),  # DISC_MUTE: the control field
    (0x10, 0x0003, b"", 0, b"\0\0"),
    (0x30, 0x1000, b"\1", 0, b""),
    (0x30, 0x0082, b"Wing", 0, b""),
    (0x30, 0x0082, b"", 0, b""),
    (0x30, 0x0082, b"x" * 32, 0, b""),
    (0x20, 0x1234, b"", 2, b"\0\0"),  # NR_UNKNOWN_PID
    (0x20, 0x0020, b"\4", 2, b"\0\0"),  # QUEUED_MESSAGE
    (0x30, 0x00E0, b"\1", 2, b"\0\0"),  # DMX_PERSONALITY
    (0x20, 0x0060, b"\0", 2, b"\0\1"),  # NR_FORMAT_ERROR
    (0x30, 0x1000, b"", 2, b"\0\1"),
    (0x30, 0x1000, b"\0\1", 2, b"\0\1"),
    (0x30, 0x0082, b"x" * 33, 2, b"\0\1"),
    (0x30, 0x00F0, b"\0\1", 2, b"\0\5"),  # NR_UNSUPPORTED_COMMAND_CLASS: the address cannot be set
    (0x30, 0x0060, b"", 2, b"\0\5"),
    (0x30, 0x1000, b"\2", 2, b"\0\6"),  # NR_DATA_OUT_OF_RANGE
    (0x30, 0x0082, b"caf\xe9", 2, b"\0\6"),  # text is ASCII
)


@pytest.mark.parametrize("kind, pid, data, response, answer", ANSWERS)
def test_a_request_and_its_answer(kind, pid, data, response, answer):
    responder, packet = pocket(b"Stage left"), asked(kind, pid, data)
    assert parsed(said(responder, packet), packet) == (response, answer)


@pytest.mark.parametrize("kind, pid, sub", [(0x20, 0x60, 1), (0x20, 0x60, 0xFFFF), (0x30, 0x1000, 1),
                                            (0x30, 0x1000, 0xFFFF), (0x20, 0x1234, 512)])
def test_it_has_no_sub_devices(kind, pid, sub):
    """NR_SUB_DEVICE_OUT_OF_RANGE, 0009h; FFFFh is all sub-devices, without the root."""
    responder, packet = pocket(), asked(kind, pid, b"\1" if kind == 0x30 else b"", sub=sub)
    assert parsed(said(responder, packet), packet) == (2, b"\0\x09")
    assert responder.identify == 0


@pytest.mark.parametrize("to", (ALL, MAKERS))
def test_what_is_for_all_is_done_and_not_answered(to):
    responder = pocket()
    assert said(responder, asked(0x30, 0x1000, b"\1", to)) == b"" and responder.identify == 1
    assert said(responder, asked(0x30, 0x0082, b"Both", to)) == b"" and bytes(responder.label[:4]) == b"Both"
    assert said(responder, asked(0x10, 2, b"", to)) == b"" and said(responder, branch(0, UID)) == b""
    assert said(responder, asked(0x10, 3, b"", to)) == b"" and said(responder, branch(0, UID))
    for packet in (asked(0x20, 0x60, b"", to), asked(0x20, 0x1234, b"", to), asked(0x30, 0x1000, b"\2", to)):
        assert said(responder, packet) == b""


@pytest.mark.parametrize("to", (UID ^ 1, UID ^ 1 << 47, 0x7FF1FFFFFFFF, 0x7FFFFFFFFFFF, 0xFFF0FFFFFFFF, 0))
def test_what_is_for_others_has_no_effect(to):
    responder = pocket()
    for packet in (asked(0x30, 0x1000, b"\1", to), asked(0x10, 2, b"", to), asked(0x20, 0x60, b"", to)):
        assert said(responder, packet) == b""
    assert responder.identify == 0 and said(responder, branch(0, ALL - 1)), "it is not muted"


def test_answers_of_others_are_no_requests():
    """Command classes of responses, and such as there are none, are not answered: two would talk at once."""
    responder = pocket()
    for kind in (0x11, 0x21, 0x31, 0x00, 0x40, 0xFF):
        assert said(responder, asked(kind, 0x60)) == b""
    assert said(responder, Lamp(5).answer(asked(0x20, 0x60, to=5))[1]) == b""


def test_a_discovery_finds_it_until_it_is_muted():
    responder = pocket()
    for low, high, inside in ((0, ALL - 1, 1), (UID, UID, 1), (UID + 1, ALL - 1, 0), (0, UID - 1, 0), (UID, 0, 0)):
        assert bool(said(responder, branch(low, high))) == bool(inside)
    coded = said(responder, branch(0, UID))
    assert coded[:8] == b"\xfe" * 7 + b"\xaa" and len(coded) == 24
    assert bytes(a & b for a, b in zip(coded[8::2], coded[9::2], strict=True))[:6] == UID.to_bytes(6, "big")
    said(responder, asked(0x10, 2))
    assert said(responder, branch(UID, UID)) == b""
    said(responder, asked(0x10, 3, b"", ALL))
    assert said(responder, branch(UID, UID)) == coded


def test_a_discovery_that_is_not_as_it_must_be_is_unheard():
    """Nothing of it is refused: an answer would look like somebody's UID."""
    responder = pocket()
    for packet in (asked(0x10, 1, bytes(11), ALL), asked(0x10, 2, b"\0"), asked(0x10, 2, sub=1), asked(0x10, 4),
                   asked(0x10, 1, bytes(6) + b"\xff" * 6, ALL, sub=1)):
        assert said(responder, packet) == b""
    assert said(responder, branch(0, UID)), "it is not muted by any of these"


def test_a_damaged_request_has_no_effect():
    """Each single bit of a request wrong: the checksum, or another device's UID."""
    packet = asked(0x30, 0x1000, b"\1")
    for bit in range(8 * len(packet)):
        responder, bad = pocket(), bytearray(packet)
        bad[bit // 8] ^= 1 << bit % 8
        assert said(responder, bad) == b"" and responder.identify == 0
    for bad in (packet[:-1], packet + b"\0", packet[:20], b""):
        assert said(pocket(), bad) == b""


@given(st.lists(st.one_of(
    st.binary(max_size=60),
    st.builds(asked, st.sampled_from((0x10, 0x11, 0x20, 0x21, 0x30, 0x31, 0)), st.sampled_from(
        (1, 2, 3, 0x20, 0x50, 0x60, 0x80, 0x82, 0xF0, 0x1000, 0x7777)), st.binary(max_size=40),
        st.sampled_from((UID, UID, ALL, MAKERS, 5)), st.sampled_from((0, 0, 0, 1, 0xFFFF))),
), max_size=12))
def test_it_never_answers_wrongly(packets):
    """Whatever comes: an answer only to a whole request for it alone, and then a right one; a UID only to a
    discovery."""
    responder = pocket()
    for packet in packets:
        answer = said(responder, packet)
        if not answer:
            continue
        assert sum(packet[:-2]) & 0xFFFF == int.from_bytes(packet[-2:], "big") and packet[20] in (0x10, 0x20, 0x30)
        if packet[20:23] == b"\x10\0\1":
            assert rdm.decode(answer) == UID
            continue
        assert packet[3:9] == UID.to_bytes(6, "big")
        kind, data = parsed(answer, packet)
        assert kind in (0, 2) and (kind == 0 or int.from_bytes(data, "big") in (0, 1, 5, 6, 9))
    assert responder.identify in (0, 1) and responder.label_length <= 32


@given(LABELS)
def test_a_label_comes_back(label):
    responder = pocket(b"a longer one that stood there")
    assert parsed(said(responder, packet := asked(0x30, 0x82, label.encode())), packet) == (0, b"")
    assert parsed(said(responder, packet := asked(0x20, 0x82)), packet) == (0, label.encode())
    assert responder.renamed


class OnACable:
    """The pocket where the simulator's lamps hang: sim.rdm_lamps.Lamp's answer()."""

    def __init__(self):
        self.responder = pocket(b"FOH")

    def answer(self, packet):
        answer = said(self.responder, packet)
        return (250, answer, answer != ENCODED) if answer else None


def session():
    """The pocket between two lamps, found and asked by the code that asks lamps -> (Cable, Search, what it said)."""
    device = OnACable()
    cable, talk = Cable([Lamp(0x7FF500000010), device, Lamp(0x7FF5A0000010)]), Talk()
    search = Search(talk)
    run(talk, search.run(), cable)
    got = {pid: run(talk, talk.get(UID, pid), cable) for pid in (0x50, 0x60, 0x80, 0x81, 0x82, 0xC0, 0xF0, 0x1000)}
    for pid, data in ((0x1000, b"\1"), (0x82, b"Stage left"), (0xF0, b"\0\1"), (0x1000, b"\7")):
        run(talk, talk.set(UID, pid, data), cable)
    got |= {(pid, "after"): run(talk, talk.get(UID, pid), cable) for pid in (0x82, 0x1000, 0xF0)}
    return cable, search, got


def test_the_search_for_lamps_finds_it():
    _cable, search, got = session()
    assert sorted(search.found) == [0x7FF05A123456, 0x7FF500000010, 0x7FF5A0000010]
    assert rdm_pids.info(got[0x60]) == (1, 0, 1, 1, 0, 0)
    assert got[0x82, "after"] == b"Stage left" and got[0x1000, "after"] == b"\1" and got[0xF0, "after"] == b"\xff\xff"


def test_wireshark_reads_its_answers(tmp_path):
    cable, _search, _got = session()
    packets = [p for ask, heard, led in cable.log for p in ((ask, heard) if led else (ask,))]
    told = read(packets, tmp_path / "pocket.pcap")
    mine = [(p, f) for p, f in zip(packets, told, strict=True) if p[9:15] == UID.to_bytes(6, "big")]
    assert len(mine) >= 16
    for packet, fields in mine:
        assert "malformed" not in fields and fields["rdm.checksum.status"] == "1"
        assert int(fields["rdm.src"].replace(":", ""), 16) == UID and int(fields["rdm.mc"]) == 0
        assert int(fields["rdm.cc"], 16) == packet[20] and int(fields["rdm.pdl"]) == len(packet) - 26
    info = next(f for p, f in mine if p[20:23] == b"\x21\0\x60")
    assert int(info["rdm.pd.product_cat"], 16) == 0x7001 and int(info["rdm.pd.dmx_footprint"]) == 0
    assert int(info["rdm.pd.dmx_start_address"]) == 0xFFFF and int(info["rdm.pd.sub_device_count"]) == 0
    reasons = [int(f["rdm.pd.nack_reason.code"], 16) for _p, f in mine if "rdm.pd.nack_reason.code" in f]
    assert reasons == [5, 6]
