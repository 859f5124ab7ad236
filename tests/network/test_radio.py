"""hal/rp2/radio.py and hal/esp32/radio.py on stand-ins for `network`, `socket` and `select`: what they ask of the
driver, and when. Numbers of states: MicroPython's stubs for either port (network.pyi)."""

import importlib
import sys
import types

import pytest

RP2 = {"STAT_IDLE": 0, "STAT_CONNECTING": 1, "STAT_GOT_IP": 3, "STAT_CONNECT_FAIL": -1, "STAT_NO_AP_FOUND": -2,
       "STAT_WRONG_PASSWORD": -3}
ESP32 = {"STAT_IDLE": 1000, "STAT_CONNECTING": 1001, "STAT_GOT_IP": 1010, "STAT_NO_AP_FOUND": 201,
         "STAT_WRONG_PASSWORD": 202, "STAT_ASSOC_FAIL": 203, "STAT_HANDSHAKE_TIMEOUT": 204, "STAT_BEACON_TIMEOUT": 200,
         "AUTH_WPA2_PSK": 3}


class Wlan:
    """A driver: `asked` of it, in order; `state`: what it says."""

    PM_NONE = 16

    def __init__(self, side):
        self.side, self.asked, self.state, self.joined, self.fails = side, [], 0, False, None

    def active(self, on):
        if self.fails:
            raise self.fails
        self.asked.append(("active", on))

    def config(self, *args, **kwargs):
        if args:
            return b"\x02\0\0\0\0\7"
        self.asked.append(("config", kwargs))
        return None

    def connect(self, *args):
        self.asked.append(("connect", *args))

    def disconnect(self):
        self.asked.append(("disconnect",))

    def isconnected(self):
        return self.joined

    def status(self, what=None):
        if what:
            return -61
        return self.state

    def ifconfig(self):
        return ("192.168.4.1" if self.side else "192.0.2.9", "", "", "")

    def connects(self):
        return [call[1:] for call in self.asked if call[0] == "connect"]


class Bed:
    """The module of a chip with its stand-ins. now: ms of its clock."""

    def __init__(self, monkeypatch, chip, states):
        self.sides = {0: Wlan(0), 1: Wlan(1)}
        self.now = 1000
        wlan = types.SimpleNamespace(PM_NONE=Wlan.PM_NONE)
        network = types.SimpleNamespace(STA_IF=0, AP_IF=1, **states)
        network.WLAN = lambda side: self.sides[side]
        network.WLAN.PM_NONE = wlan.PM_NONE
        monkeypatch.setitem(sys.modules, "network", network)
        for name in ("hal.radio", f"hal.{chip}.radio"):
            monkeypatch.delitem(sys.modules, name, raising=False)
        module = importlib.import_module(f"hal.{chip}.radio")
        monkeypatch.setattr(module, "time", types.SimpleNamespace(
            ticks_ms=lambda: self.now, ticks_diff=lambda a, b: a - b), raising=False)
        self.fed = 0  # how often the watchdog was
        self.radio = module.Radio(types.SimpleNamespace(power=types.SimpleNamespace(feed=self.feed)))
        for name in ("hal.radio", f"hal.{chip}.radio"):
            monkeypatch.delitem(sys.modules, name)

    def feed(self):
        self.fed += 1
        assert not self.wlan.asked

    @property
    def wlan(self):
        return self.sides[0]


@pytest.fixture
def rp2(monkeypatch):
    return Bed(monkeypatch, "rp2", RP2)


@pytest.fixture
def esp32(monkeypatch):
    return Bed(monkeypatch, "esp32", ESP32)


def test_joining_begins_and_is_only_asked_how_it_is(rp2):
    rp2.radio.join("Studio", "lumen123")
    assert rp2.wlan.connects() == [("Studio", "lumen123")] and ("config", {"pm": 16}) in rp2.wlan.asked
    asked = len(rp2.wlan.asked)
    for state in (1, 1, 2, 2):
        rp2.wlan.state = state
        assert rp2.radio.word() == "joining"
        rp2.now += 30_000
    rp2.wlan.state, rp2.wlan.joined = 3, True
    assert (rp2.radio.word(), rp2.radio.address(), rp2.radio.signal()) == ("joined", "192.0.2.9", -61)
    assert len(rp2.wlan.asked) == asked


def test_it_has_its_address_from_the_start(rp2):
    """The driver of the RP2 reads it when it is switched on, for which the watchdog has its whole time."""
    assert rp2.wlan.asked == [("active", True)] and rp2.fed == 1
    assert rp2.radio.ident() == b"\x02\0\0\0\0\7" and rp2.radio.signal() is None


def test_an_open_wifi_has_no_password(rp2, esp32):
    rp2.radio.join("Studio", "")
    assert rp2.wlan.connects() == [("Studio", None)]
    esp32.radio.join("Studio", "")
    assert esp32.wlan.connects() == [("Studio",)]


@pytest.mark.parametrize("state, words", [(-2, "no such Wi-Fi"), (-3, "wrong password"), (-1, "refused"),
                                          (0, "joining")])
def test_what_failed_or_was_lost_is_tried_again_every_ten_seconds(rp2, state, words):
    """The driver of the RP2 leaves it at that; the reason stands while the next try goes on."""
    rp2.radio.join("Studio", "lumen123")
    rp2.wlan.state = state
    for _ in range(100):
        assert rp2.radio.word() == words
        rp2.now += 500
    assert 4 <= len(rp2.wlan.connects()) - 1 <= 5
    rp2.wlan.state = 1
    assert rp2.radio.word() == words
    rp2.wlan.state = 3
    assert rp2.radio.word() == "joined"
    rp2.wlan.state = 1
    assert rp2.radio.word() == "joining"


def test_the_driver_of_the_esp32_tries_again_by_itself(esp32):
    esp32.radio.join("Studio", "lumen123")
    for state, words in ((201, "no such Wi-Fi"), (202, "wrong password"), (204, "wrong password"), (203, "refused"),
                         (200, "out of reach"), (1001, "joining")):
        esp32.wlan.state = state
        assert esp32.radio.word() == words
    assert len(esp32.wlan.connects()) == 1
    esp32.wlan.joined = True
    assert esp32.radio.word() == "joined"


@pytest.mark.parametrize("chip", ["rp2", "esp32"])
def test_a_wifi_of_its_own(chip, request):
    """With the name and the password that it is given, the other side of the radio off; joining ends it."""
    bed = request.getfixturevalue(chip)
    bed.radio.join("Studio", "")
    bed.radio.host("Halfstop-00A7", "abcdefghjk")
    config = next(call[1] for call in bed.sides[1].asked if call[0] == "config")
    assert (config["ssid"], config["key"]) == ("Halfstop-00A7", "abcdefghjk")
    assert config.get("security", 3) == 3 and ("active", True) in bed.sides[1].asked
    assert bed.wlan.asked[-1] == ("active", False)
    assert (bed.radio.word(), bed.radio.address(), bed.radio.signal()) == ("own Wi-Fi", "192.168.4.1", None)
    bed.radio.join("Studio", "")
    assert bed.sides[1].asked[-1] == ("active", False) and bed.radio.word() == "joining"
    bed.radio.host("Halfstop-00A7", "abcdefghjk")
    bed.radio.close()
    assert bed.sides[1].asked[-1] == bed.wlan.asked[-1] == ("active", False)


@pytest.mark.parametrize("chip", ["rp2", "esp32"])
def test_what_the_driver_refuses_is_told(chip, request):
    bed = request.getfixturevalue(chip)
    bed.wlan.fails = OSError("WiFi Out of Memory")
    bed.radio.join("Studio", "")
    assert bed.radio.word() == "WiFi Out of Memory"
    bed.wlan.fails = None
    bed.radio.join("Studio", "")
    assert bed.radio.word() == "joining"
