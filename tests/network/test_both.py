"""Cable and network together: which of them holds the feed, and how it goes over when that one is lost and comes back.
A cable is lost after 1.25 s (ANSI E1.11), a network's sender after 2.5 s or when it says that it stops (ANSI E1.31,
6.7.1 and 6.2.6; both from memory). That nothing jumps is the project's own rule: the feed's fade back lasts 2 s."""

import pytest

from firmware.parts import once
from firmware.stage import feed_tables
from tests.network.test_feed import FRAME_MS, Net, Sender

CABLE, DESK = 40, 200


class Both(Net):
    """As Net, with a desk on the network and one on the cable. first: who wins, by the settings."""

    def __init__(self, first=0, **settings):
        super().__init__(first=first, **settings)
        self.desk = Sender(self)

    def pass_by(self, seconds, cable=True, desk=True):
        """Let them send for so long -> the first slot on the line, frame by frame."""
        seen = []
        for _ in range(round(seconds * 1000 / FRAME_MS)):
            if cable:
                self.bench.ports[1].receive(bytes([CABLE] * 512))
            if desk:
                self.desk.send(DESK)
            self.bench.run(FRAME_MS / 1000)
            seen.append(self.slot)
        return seen


def jump(seen):
    """The largest step from frame to frame."""
    return max(abs(b - a) for a, b in zip(seen, seen[1:], strict=False))


def left_at(seen, value):
    """ms until the line left a value."""
    return next(n for n, there in enumerate(seen) if there != value) * FRAME_MS


SMOOTH = (DESK - CABLE) * 2 * FRAME_MS // 2000 + 1  # a fade of 2 s makes such steps, and a frame may be passed over


def test_the_cable_wins_unless_told_otherwise():
    net = Both()
    assert net.source.settings["first"] == 0
    net.pass_by(4)
    assert net.slot == CABLE and net.source.who() == "cable, sACN waits"
    assert net.source.feed_word == "feed cable" and net.source.page == "feed_counts"
    assert net.counts["good"] > 100 and net.source.sources.top == 100  # it is heard all the same


def test_the_network_wins_where_the_settings_say_so():
    net = Both(1)
    net.pass_by(5)
    assert net.slot == DESK and net.source.who() == "sACN, cable waits"
    assert net.source.feed_word == "feed sACN" and net.source.page == "network_sources"


def test_the_cable_is_lost_and_comes_back():
    """The network takes over after 1.25 s and gives way at once, each time by a fade; the feed itself is never lost."""
    net = Both()
    net.pass_by(4)
    seen = net.pass_by(4, cable=False)
    assert 1200 <= left_at(seen, CABLE) <= 1400 and seen[-1] == DESK and jump(seen) <= SMOOTH
    assert net.source.who() == "sACN" and net.source.feed_word == "feed sACN"
    seen = net.pass_by(3)
    assert left_at(seen, DESK) <= 100 and seen[-1] == CABLE and jump(seen) <= SMOOTH
    assert net.app.feed.losses == 0 and net.source.who() == "cable, sACN waits"


@pytest.mark.parametrize("says", [False, True], ids=["silent", "terminated"])
def test_the_network_is_lost_and_comes_back(says):
    net = Both(1)
    net.pass_by(5)
    if says:
        net.desk.stop()
    seen = net.pass_by(5, desk=False)
    waited = left_at(seen, DESK)
    assert waited <= 100 if says else 2450 <= waited <= 2650
    assert seen[-1] == CABLE and jump(seen) <= SMOOTH and net.source.who() == "cable"
    seen = net.pass_by(3)
    assert seen[-1] == DESK and jump(seen) <= SMOOTH and net.app.feed.losses == 0


def test_a_wifi_that_goes_leaves_the_cable():
    net = Both(1)
    net.pass_by(5)
    net.air.wifi = {}
    seen = net.pass_by(6)
    assert seen[-1] == CABLE and jump(seen) <= SMOOTH and net.app.feed.losses == 0


def test_both_are_lost():
    """Then it is a loss as any other: the last frame stays, although the network counts as lost later."""
    net = Both()
    net.pass_by(4)
    seen = net.pass_by(4, cable=False, desk=False)
    assert net.app.feed.is_lost() and seen[-1] == CABLE and net.source.who() == "nobody"
    seen = net.pass_by(4, cable=False)
    assert net.app.feed.is_live() and seen[-1] == DESK and jump(seen) <= SMOOTH


def test_the_choice_holds_at_once_and_without_a_jump():
    net = Both(screen=True)
    net.app.open("network")
    net.pass_by(4)
    assert "If both come cable wins" in net.bench.lines and net.bench.lines[0] == "Network BLACK feed lit"
    net.bench.turn(1)
    net.bench.press()
    seen = net.pass_by(4)
    assert "If both come sACN wins" in net.bench.lines
    assert seen[0] <= CABLE + SMOOTH and seen[-1] == DESK and jump(seen) <= SMOOTH
    net.app.stage.blackout = False
    net.app.open("feed")
    net.pass_by(1)
    assert net.bench.lines[0] == "Feed feed sACN" and "From sACN, cable waits" in net.bench.lines
    net.bench.cut_power()
    net.bench.boot()
    assert net.source.settings["first"] == 1  # it is kept


@pytest.mark.parametrize("first", [0, 1], ids=["cable", "network"])
def test_merged_with_the_pocket(first):
    """The rules of each fixture hold for whoever has the feed: highest, pocket only, feed only. 16-bit slots or 8-bit
    ones, the first of a level is the coarse one."""
    net = Both(first)
    app, comes = net.app, DESK if first else CABLE
    app.stage.blackout = False
    fixture = app.show.rig.fixtures[0]
    start = fixture.address - 1
    net.pass_by(5)
    feed = app.feed
    app.stage.dial(fixture, level=1.0)
    net.pass_by(1)
    own = app.stage.frame[start]
    assert own > DESK and net.bench.frame[start] == own and feed.holder(0) != feed_tables.BY_FEED
    app.stage.dial(fixture, level=0)
    net.pass_by(1)
    assert net.bench.frame[start] == comes
    for rule, value in ((feed_tables.POCKET, 0), (feed_tables.FEED, comes)):
        feed.set_rule(app.now, fixture, rule)
        net.pass_by(3)
        assert net.bench.frame[start] == value


def test_a_recording_has_every_packet_of_the_one_that_holds():
    """And none of the other's."""
    for first in (0, 1):
        net, got = Both(first), []
        net.pass_by(5)
        net.app.feed.source = None  # the feed's place is taken by the test
        net.source.every = True
        for value in range(2, 30, 2):
            for more in (0, 1):
                net.desk.send(100 + value + more)
                net.bench.ports[1].receive(bytes([value + more] * 512))
            while (slots := net.source.received()) is not None:
                got.append(slots[0])
            net.bench.clock.pass_us(46_000)
        assert got == [100 * first + n for n in range(2, 30)]


def test_a_network_that_only_goes_out_leaves_the_cable_alone():
    net = Both(on=0, out=3)
    net.pass_by(4)
    assert net.slot == CABLE and net.source.feed_word == "feed" and net.source.who() == "cable"
    net.pass_by(2, cable=False)
    assert net.app.feed.is_lost()


def test_the_priority_of_what_goes_out():
    """ANSI E1.31: 0 to 200, 100 where nothing is set (table 6-1, from memory); PyPI's sacn reads it. A change holds at
    once, in the same stream."""
    messages = pytest.importorskip("sacn.messages.data_packet", reason="PyPI's sacn is not installed")
    net = Net(on=0, out=9)
    for value in (100, 0, 200, 37):
        net.app.open("network")
        page = net.app.page
        page.at = page.items.index("Priority out")
        page.push()
        page.dial(page.item(), -1000)
        assert page.settings["priority"] == 0
        page.dial(page.item(), 1000)
        assert page.settings["priority"] == 200
        page.dial(page.item(), value - 200)
        net.air.sent.clear()
        page.push()
        net.run(2)
        theirs = [messages.DataPacket.make_data_packet(data) for _address, data in net.air.sent if len(data) == 638]
        assert theirs and {(p.priority, p.option_StreamTerminated) for p in theirs} == {(value, False)}
    net.bench.cut_power()
    net.bench.boot()
    assert net.source.out.senders[0].packet[108] == 37


def test_time_that_is_moved_back():
    """app_time.py: the cable is neither lost nor kept for ever."""
    net = Both()
    net.pass_by(4)
    net.bench.clock.back(-(1 << 29))
    net.source._cable_ms += 1 << 29  # the times are as on a device that has run as long
    net.source._looked += 1 << 29
    net.source.sources.sources[0].heard += 1 << 29
    net.app.feed._packet_ms += 1 << 29
    net.pass_by(0.5, cable=False)
    assert net.app.now < 1 << 29 and net.source.who() == "cable, sACN waits"
    net.pass_by(1.5, cable=False)
    assert net.source.who() == "sACN"


def test_the_simulator_says_who_holds_the_feed():
    from sim.live import feed_words
    from sim.session import OnPython, Session

    session = Session(OnPython("s3_tft", "demo"))
    session.machine.bench.air.address = ""  # no socket
    session.play("sacn", None)
    session.play("still", lambda _ms: bytes([CABLE] * 512))
    session.step(200)
    assert session.machine.heard.startswith("The feed comes from: cable. sACN at ")
    assert int(feed_words(session).split(". By cable: ")[1].split()[0]) > 10  # packets
    once("firmware.ui.pages.settings.network", "put", session.machine.bench.app, "first", 1)
    session.play("", None)
    assert session.machine.heard == ""
