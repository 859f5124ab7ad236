"""The Wi-Fi that the device makes itself where the one that it knows does not answer. WPA2 takes a password of 8 to 63
characters (IEEE 802.11, from memory)."""

import collections

from firmware import network_own
from firmware.parts import once
from tests.network.test_feed import Net, Sender

OWN = {"own": 1, "own_password": "lumenmeter"}


def test_a_wifi_that_does_not_answer():
    """After 20 s, and sACN comes in by it; not where the settings do not ask for it."""
    net = Net(wifi="Elsewhere", **OWN)
    net.run(16)
    assert net.air.own is None and net.source.word() == "no such Wi-Fi" and not net.source.joined
    net.run(4)
    assert net.air.own == ("Halfstop-0001", "lumenmeter")
    assert net.source.word() == "own, 127.0.0.1" and net.source.radio.signal() is None
    net.run(3, Sender(net), value=70)
    assert net.slot == 70 and net.air.groups == ("239.255.0.1", "239.255.250.214")
    never = Net(wifi="Elsewhere", own_password="lumenmeter")
    never.run(30)
    assert never.air.own is None and never.source.word() == "no such Wi-Fi"


def test_one_that_answered_is_waited_for():
    """It is away for a minute: the device joins it again, and makes none."""
    net = Net(**OWN)
    net.run(1)
    wifi, net.air.wifi = net.air.wifi, {}
    net.run(60)
    assert net.air.own is None
    net.air.wifi = wifi
    net.run(3, Sender(net), value=70)
    assert net.slot == 70 and net.source.word() == "127.0.0.1"


def test_without_a_name_it_is_there_at_once():
    net = Net(wifi="", **OWN)
    assert net.air.own and net.source.joined
    net.app.input.close()
    assert net.air.own is None


def test_a_password_that_is_too_short_makes_none():
    """As a file that somebody wrote may have: an open Wi-Fi, or one that the driver refuses, is none."""
    for word in ("", "abcdefg"):
        net = Net(wifi="", own=1, own_password=word)
        net.run(25)
        assert net.air.own is None and net.source.word() == "without a name"


def test_by_knob_and_keys():
    """Chosen on the page Network, which shows name and password, and tries the other again."""
    net = Net(wifi="Elsewhere", screen=True)
    b, net.bench.step_ms = net.bench, 20
    b.app.open("network")
    b.turn(6)
    b.run(0.3)
    assert "Own Wi-Fi never" in b.lines and not any(line.startswith(("Its", "Passphrase")) for line in b.lines)
    b.press()
    b.turn(2)
    b.run(0.3)
    word = net.source.settings["own_password"]
    assert "Own Wi-Fi if none answers" in b.lines and f"Passphrase {word}" in b.lines
    assert "Its name Halfstop-0001" in b.lines
    b.run(21)
    assert "Wi-Fi is own, 127.0.0.1" in b.lines and net.air.own == ("Halfstop-0001", word)
    net.air.wifi["Elsewhere"] = ""
    b.turn(-4)
    b.press()
    b.run(3)
    assert "Wi-Fi is 127.0.0.1" in b.lines and net.air.own is None
    b.turn(2)
    b.press()
    b.run(0.2)
    assert "Own Wi-Fi never" in b.lines
    b.press()
    b.cut_power()
    b.boot()
    assert (net.source.settings["own"], net.source.settings["own_password"]) == (1, word)  # the same as before


def test_the_password_is_of_the_device_alone():
    """Ten letters of 29 at random, none much more often than others; each device makes its own."""
    words = [network_own.password() for _ in range(400)]
    assert len(set(words)) == 400 and all(8 <= len(word) <= 63 and word.isascii() for word in words)
    counts = collections.Counter("".join(words))
    assert len(counts) == 29 and not set(counts) & set("01ilo")
    assert max(counts.values()) < 2 * min(counts.values())  # 138 of each; by chance once in many millions
    net = Net()
    other = Net()
    for one in (net, other):
        once("firmware.ui.pages.settings.network", "put", one.app, "own", 1)
    assert net.source.settings["own_password"] != other.source.settings["own_password"]


def test_time_that_is_moved_back():
    """app_time.py: the 20 s stay 20 s."""
    net = Net(wifi="Elsewhere", **OWN)
    net.bench.clock.back(-(1 << 29))
    net.source._asked += 1 << 29  # the times are as on a device that has run as long
    net.source._looked += 1 << 29
    net.run(10)
    assert net.app.now < 1 << 29 and net.air.own is None
    net.run(10)
    assert net.air.own
