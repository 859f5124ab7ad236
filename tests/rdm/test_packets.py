"""Packets of firmware/wire/rdm.py against ANSI E1.20's worked example and Wireshark's dissector."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.wire import rdm, rdm_pids
from firmware.wire.rdm_search import Search
from firmware.wire.rdm_talk import Talk
from sim.rdm_lamps import Cable, Lamp
from tests.rdm.dissector import names, read
from tests.rdm.talks import run

UIDS = st.integers(0, 0xFFFFFFFFFFFE)
MODES = (("Two", (("level", 0, -1), ("cct", 1, -1))), ("Wide", (("level", 0, 1), ("red", 2, 3), ("green", 4, 5))))


def test_the_standards_example():
    """GET STATUS_MESSAGES from CBA987654321h to 123456789ABCh, its checksum 066Ah: ANSI E1.20's example of a message
    (from memory)."""
    packet = rdm.packet(0x123456789ABC, 0xCBA987654321, 0, 1, 0, rdm.GET, rdm_pids.STATUS_MESSAGES, b"\x04")
    assert packet == bytes.fromhex("cc0119123456789abccba987654321000100000020003001 04066a")
    assert rdm.wrong(packet) == ""


def test_the_encoded_uid():
    """DISC_UNIQUE_BRANCH's answer for 7FF000000001h, worked by hand from E1.20's table of its bytes (from memory):
    seven FEh, AAh, each byte OR AAh then OR 55h, then the sum of those twelve coded alike."""
    coded = "ff7f fa f5 aa55 aa55 aa55 ab55".replace(" ", "")
    check = sum(bytes.fromhex(coded))
    assert check == 0x76A
    assert rdm.encode(0x7FF000000001) == bytes.fromhex("fe" * 7 + "aa" + coded + "af57" + "ea7f")
    assert rdm.decode(rdm.encode(0x7FF000000001)) == 0x7FF000000001


def test_the_devices_own_uid_is_a_prototypes():
    """7FF0h to 7FFFh are kept for prototypes and experiments (from memory)."""
    assert 0x7FF0 <= rdm.OWN_UID >> 32 <= 0x7FFF


@given(UIDS, st.integers(0, 7))
def test_an_encoded_uid_comes_back_with_any_preamble(uid, lost):
    assert rdm.decode(rdm.encode(uid)[lost:]) == uid


@given(UIDS, st.integers(0, 24 * 8 - 1))
def test_one_wrong_bit_is_refused(uid, bit):
    """Never another UID. A wrong bit in the preamble makes another byte than FEh before the AAh."""
    coded = bytearray(rdm.encode(uid))
    coded[bit // 8] ^= 1 << bit % 8
    assert rdm.decode(coded) is None


@given(st.binary(max_size=60))
def test_noise_is_no_answer(noise):
    asked = rdm.request(5, 1, rdm.GET, rdm_pids.DEVICE_INFO)
    assert rdm.mismatch(asked, noise)
    rdm.decode(noise)


def test_answers_that_are_not_ours_are_refused_with_the_reason():
    asked = rdm.request(5, 1, rdm.GET, rdm_pids.DEVICE_INFO)
    good = Lamp(5).answer(asked)[1]
    assert rdm.mismatch(asked, good) == ""
    for at, why in ((9, "of another"), (3, "of another"), (15, "late"), (16, "late"), (20, "of another"),
                    (22, "of another")):
        bad = bytearray(good)
        bad[at] ^= 0x40
        bad[-2:] = (sum(bad[:-2]) & 0xFFFF).to_bytes(2, "big")
        assert rdm.mismatch(asked, bad) == why
    assert rdm.mismatch(asked, good + b"\0") == "long"
    assert rdm.mismatch(asked, good[:-1]) == "short"
    longer = bytearray(good)
    longer[23] += 1
    assert rdm.mismatch(asked, longer) == "lengths"
    longer = bytearray(good)
    longer[-1] ^= 1
    assert rdm.mismatch(asked, longer) == "checksum"


def session():
    """A search and a long talk with three lamps -> (Cable, Talk)."""
    lamps = [Lamp(0x7FF000000010 + n, "Moorhen %d" % n, MODES, 1 + 10 * n, label="Key %d" % n) for n in range(3)]
    lamps[1].faults["slow"] = True
    cable, talk = Cable(lamps), Talk()
    search = Search(talk)
    run(talk, search.run(), cable)
    for uid in search.found:
        for pid in (rdm_pids.DEVICE_INFO, rdm_pids.MODEL, rdm_pids.MAKER, rdm_pids.LABEL, rdm_pids.SOFTWARE_LABEL,
                    rdm_pids.PERSONALITY, rdm_pids.START_ADDRESS, rdm_pids.SLOT_INFO, rdm_pids.DEVICE_HOURS,
                    rdm_pids.LAMP_HOURS, rdm_pids.SUPPORTED_PARAMETERS, rdm_pids.IDENTIFY, rdm_pids.SLOT_TEXT):
            run(talk, talk.get(uid, pid), cable)
        for pid, data in ((rdm_pids.SENSOR_DEFINITION, b"\0"), (rdm_pids.SENSOR_VALUE, b"\0"),
                          (rdm_pids.PERSONALITY_TEXT, b"\x02")):
            assert run(talk, talk.get(uid, pid, data), cable)
        for pid, data in ((rdm_pids.START_ADDRESS, b"\1\0"), (rdm_pids.PERSONALITY, b"\2"), (rdm_pids.IDENTIFY, b"\1")):
            assert run(talk, talk.set(uid, pid, data), cable) == b""
    return cable, talk


def test_wireshark_reads_a_whole_session(tmp_path):
    """Every packet, of both sides, without a malformed one, its checksum good, and its fields those that we meant."""
    cable, _talk = session()
    packets = [p for asked, heard, led in cable.log for p in ((asked, heard) if led else (asked,))]
    told = read(packets, tmp_path / "session.pcap")
    assert len(told) == len(packets) > 150
    for packet, fields in zip(packets, told, strict=True):
        assert "malformed" not in fields, packet.hex()
        assert fields["rdm.checksum.status"] == "1"
        assert int(fields["rdm.cc"], 16) == packet[rdm.CLASS_AT]
        assert int(fields["rdm.pid"], 16) == rdm.word(packet, rdm.PID_AT)
        assert int(fields["rdm.dst"].replace(":", ""), 16) == rdm.uid(packet, rdm.TO_AT)
        assert int(fields["rdm.src"].replace(":", ""), 16) == rdm.uid(packet, rdm.FROM_AT)
        assert int(fields["rdm.tn"]) == packet[rdm.NUMBER_AT] and int(fields["rdm.pdl"]) == len(rdm.data(packet))
    info = next(f for p, f in zip(packets, told, strict=True) if p[20] == 0x21 and p[21:23] == b"\0\x60")
    ours = rdm_pids.info(rdm.data(next(p for p in packets if p[20] == 0x21 and p[21:23] == b"\0\x60")))
    assert ours == (int(info["rdm.pd.device_model_id"], 16), int(info["rdm.pd.dmx_footprint"]),
                    int(info["rdm.pd.dmx_pers_current"]), int(info["rdm.pd.dmx_pers_total"]),
                    int(info["rdm.pd.dmx_start_address"]), int(info["rdm.pd.sensor_count"]))


NAMES = {
    rdm_pids.PROXIED_DEVICES: "Proxied Devices", rdm_pids.PROXIED_COUNT: "Proxied Device Count",
    rdm_pids.QUEUED_MESSAGE: "Queued Messages", rdm_pids.STATUS_MESSAGES: "Status Messages",
    rdm_pids.SUPPORTED_PARAMETERS: "Supported Parameters", rdm_pids.DEVICE_INFO: "Device Info",
    rdm_pids.MODEL: "Device Model Description", rdm_pids.MAKER: "Manufacturer Label", rdm_pids.LABEL: "Device Label",
    rdm_pids.SOFTWARE_LABEL: "Software Version Label", rdm_pids.PERSONALITY: "DMX Personality",
    rdm_pids.PERSONALITY_TEXT: "DMX Personality Description", rdm_pids.START_ADDRESS: "DMX Start Address",
    rdm_pids.SLOT_INFO: "Slot Info", rdm_pids.SLOT_TEXT: "Slot Description",
    rdm_pids.SLOT_DEFAULTS: "Default Slot Value", rdm_pids.SENSOR_DEFINITION: "Sensor Definition",
    rdm_pids.SENSOR_VALUE: "Sensor Value", rdm_pids.DEVICE_HOURS: "Device Hours", rdm_pids.LAMP_HOURS: "Lamp Hours",
    rdm_pids.IDENTIFY: "Identify Device",
}


def test_wireshark_has_our_numbers_under_these_names(tmp_path):
    packets = [rdm.request(1, n, rdm.GET, pid) for n, pid in enumerate(NAMES)]
    assert names(packets, tmp_path / "pids.pcap") == list(NAMES.values())
    assert [int(row.split()[0], 16) for row in rdm_pids._TABLE.strip().splitlines()] == sorted(NAMES)


@pytest.mark.parametrize("fault", ("slow", "late", "extra", "stubborn"))
def test_a_lamp_with_a_fault(fault):
    """slow: it is waited for; late, extra: nothing is believed; stubborn: its yes is not what it then says."""
    lamp = Lamp(5, faults={fault: 1}, modes=MODES)
    cable, talk = Cable([lamp]), Talk()
    said = run(talk, talk.set(5, rdm_pids.START_ADDRESS, b"\0\x21"), cable)
    back = run(talk, talk.get(5, rdm_pids.START_ADDRESS), cable)
    if fault == "slow":
        assert (said, back, lamp.address) == (b"", b"\0\x21", 33)
    elif fault == "stubborn":
        assert (said, back, lamp.address) == (b"", b"\0\1", 1)
    else:
        assert said is back is None
        assert talk.counts == {{"late": "silent", "extra": "long"}[fault]: 6}


def test_a_refusal_has_its_reason():
    cable, talk = Cable([Lamp(5)]), Talk()
    assert run(talk, talk.set(5, rdm_pids.START_ADDRESS, b"\x02\x01"), cable) is None
    assert talk.why == "out of range"  # NR_DATA_OUT_OF_RANGE, 0006h (from memory)
    assert run(talk, talk.get(5, 0x1234), cable) is None
    assert talk.why == "no such parameter"  # NR_UNKNOWN_PID, 0000h
    assert talk.counts == {"refused": 2}


def test_an_answer_in_several_packets():
    class Long(Lamp):
        parts = 0

        def _asked(self, kind, pid, data):
            self.parts += 1
            return (3, pid, bytes([self.parts]) * 231) if self.parts < 3 else (0, pid, b"end")

    talk = Talk()
    said = run(talk, talk.get(5, rdm_pids.SLOT_INFO), Cable([Long(5)]))
    assert said == b"\1" * 231 + b"\2" * 231 + b"end"


def test_an_answer_without_an_end_is_given_up():
    class Endless(Lamp):
        def _asked(self, kind, pid, data):
            return 3, pid, b"more"

    class Never(Lamp):
        def _asked(self, kind, pid, data):
            return 1, pid, b"\0\1"

    for kind in (Endless, Never):
        talk = Talk()
        assert run(talk, talk.get(5, rdm_pids.SLOT_INFO), Cable([kind(5)])) is None
        assert talk.why == "no end" and talk.asked < 30


def test_a_thousand_exchanges_with_flipped_bits_say_nothing_wrong():
    lamps = [Lamp(n, "Lamp %d" % n, address=n, faults={"flips": 0.01}, seed=9) for n in range(1, 6)]
    cable, talk, dice, wrong = Cable(lamps), Talk(), random.Random(4), 0
    for _ in range(1000):
        lamp = dice.choice(lamps)
        if dice.random() < 0.5:
            wanted = dice.randrange(1, 513)
            run(talk, talk.set(lamp.uid, rdm_pids.START_ADDRESS, wanted.to_bytes(2, "big")), cable)
            wrong += lamp.address != wanted
        else:
            wrong += run(talk, talk.get(lamp.uid, rdm_pids.MODEL), cable) != lamp.model.encode()
    assert wrong == 0
    assert talk.counts["checksum"] + talk.counts.get("noise", 0) > 3


def test_windows_keep_the_gap():
    """ANSI E1.20 (from memory): 2.8 ms until an answer is lost, 5.8 ms after a discovery; and the issue's own limits on
    the gap between DMX512 packets, 34 and 50 ms."""
    for gap in (34_000, 50_000):
        for most in (0, 19, 32, 231):
            for carried in (0, 32):
                asked = rdm.request(5, 1, rdm.GET, 0x60, bytes(carried))
                window = rdm.window_us(asked, most, gap)
                assert window >= 3_000
                whole = 22_716 + 220 + 44 * len(asked) + window + 600
                assert whole <= gap
    asked = rdm.branch(0, 5, 1)
    assert rdm.window_us(asked, 0, 34_000) == 5_800
    assert rdm.window_us(rdm.request(5, 1, rdm.GET, 0x120), 231, 50_000) >= 2_000 + 440 + 257 * 44


def test_sensor_words():
    """28.5 °C as the standard codes it: unit 1, prefix deci (01h), 285 (tables of units and prefixes, from memory)."""
    definition = b"\0\0\1\1" + b"\x80\0\x7f\xff" * 2 + b"\3LED plate"
    assert rdm_pids.sensor(definition, b"\0\x01\x1d" + bytes(6)) == ("LED plate", "28.5 °C")
    assert rdm_pids.sensor(b"\2\0\1\0" + bytes(9), b"\2\xff\xfb" + bytes(6)) == ("Sensor 2", "-5 °C")
    with pytest.raises(ValueError):
        rdm_pids.sensor(b"", b"")
