"""Two universes of a rig go out by sACN, with the second port as an in or an out; and two come in. Judged by
Wireshark's acn dissector and PyPI's sacn; the rules are ANSI E1.31-2018's."""

import pytest

from firmware.parts import once
from tests.network.test_e131 import dissected
from tests.network.test_feed import Net, Sender
from tests.ui.hand import pick, right, rows, to

FAR = 512 + 101
FIRST, SECOND = "239.255.1.44", "239.255.1.45"  # table 9-10, of universes 300 and 301


def sent(net, address):
    """The packets that went to an address."""
    return [data for to, data in net.air.sent if to == address]


def lit(net):
    """A lamp in the second universe at full, and all that goes out after that."""
    net.app.stage.blackout = False
    f = net.app.show.rig.add("rgb", "Far", FAR)
    net.run(0.1)
    net.app.stage.dial(f, level=1.0, sat=0)
    net.run(0.5)
    net.air.sent.clear()
    net.app.stage.dial(f, level=0.5)
    net.run(2)


@pytest.mark.parametrize("port2", [0, 1])
def test_both_go_out_each_as_its_own(tmp_path, port2):
    net = Net(on=0, out=300, out2=301)
    if port2:
        net.app.set_setting("port2", 1)
        net.app.board.power.restart()
        net.run(3)
    lit(net)
    ours = net.app.stage.frame
    assert len(ours) == 1024 and any(ours[512:])
    last = [sent(net, address)[-1] for address in (FIRST, SECOND)]
    assert [data[126:] for data in last] == [ours[:512], ours[512:]]
    said = dissected(tmp_path, last)
    for text, universe in zip(said, (300, 301), strict=True):
        assert f"Universe: {universe}" in text and "Count: 513" in text and "alformed" not in text
    assert net.bench.frame == ours[:512]
    assert net.bench.ports[1].frame == (ours[512:] if port2 else bytes(512))
    # 6.7.1: each universe has a sequence of its own.
    for address in (FIRST, SECOND):
        numbers = [data[111] for data in sent(net, address)]
        assert all(b - a & 255 == 1 for a, b in zip(numbers, numbers[1:], strict=False)) and len(numbers) >= 2
    # 6.6.1: the first did not change, and is sent every 0.8 to 1.0 s.
    assert 1 <= len(sent(net, FIRST)) <= 3


def test_one_list_has_both_and_both_say_that_they_stop():
    messages = pytest.importorskip("sacn.messages.universe_discovery", reason="PyPI's sacn is not installed")
    net = Net(on=0, out=301, out2=300)
    net.run(11)
    lists = [messages.UniverseDiscoveryPacket.make_universe_discovery_packet(data)
             for data in sent(net, "239.255.250.214")]
    assert lists and all(tuple(one.universes) == (300, 301) for one in lists)  # 8.5: sorted
    net.air.sent.clear()
    net.app.input.close()
    for address in (FIRST, SECOND):
        assert [data[112] for data in sent(net, address)] == [0x40] * 3  # 6.2.6: terminated, three times


def test_the_second_alone():
    net = Net(on=0, out2=301)
    lit(net)
    assert sent(net, FIRST) == [] and sent(net, SECOND)[-1][126:] == net.app.stage.frame[512:]
    assert net.app.show.rig.universes == 2  # lamps may be patched there though port 2 listens
    once("firmware.ui.pages.settings.network", "put", net.app, "priority", 37)
    net.run(1)
    assert sent(net, SECOND)[-1][108] == 37
    once("firmware.ui.pages.settings.network", "put", net.app, "out2", 0)
    assert net.app.show.rig.universes == 1


def test_a_rig_of_one_universe_sends_zeros_as_the_second():
    net = Net(on=0, out=300, out2=301)
    net.app.stage.blackout = False
    net.run(2)
    assert sent(net, SECOND)[-1][126:] == bytes(512)
    assert sent(net, FIRST)[-1][126:] == net.app.stage.frame == net.bench.frame


def test_a_feed_by_sacn_is_the_first_universe_s():
    """The network brings one universe; the lamps of the second are the pocket's, and go on."""
    net = Net(out2=301)
    lit(net)
    net.run(3, Sender(net), value=200)
    feed = net.app.feed
    assert feed.is_live() and len(feed.frame) == 1024
    assert feed.frame[512:] == net.app.stage.frame[512:] and any(feed.frame[512:])
    assert net.slot == 200
    assert sent(net, SECOND)[-1][126:] == feed.frame[512:]


def test_the_page_has_it_and_refuses_the_same_twice():
    net = Net(on=0, out=2, screen=True)
    b = net.bench
    b.app.open("network")
    assert right(b, "Universe 2 out") == "none" and "Universe out" in rows(b)
    pick(b, "Universe 2 out")
    b.turn(2)
    b.press()
    assert b.app.screen.message == "Universe 2 goes out already"
    b.run(1)
    assert right(b, "Universe 2 out") == "none"
    to(b, "Universe 2 out")
    b.press()
    b.turn(3)
    b.press()
    b.run(1)
    assert right(b, "Universe 2 out") == "3" and [s.packet[114] for s in net.app.input.out.senders] == [2, 3]


# --- two come in ---

def both_in(**settings):
    """A device that takes universes 1 and 2 for a rig on both, black itself, and the two senders."""
    net = Net(universe2=2, **settings)
    net.app.show.rig.add("rgb", "Far", FAR)
    net.run(0.1)
    return net, Sender(net), Sender(net, "Second desk", universe=2)


def far(net):
    """The slots of the lamp in the second universe, as they go out."""
    return bytes(net.app.feed.frame[FAR - 1:FAR + 2])


def test_each_lamp_has_the_light_of_its_universe():
    net, first, second = both_in()
    assert net.air.groups == ("239.255.0.1", "239.255.250.214", "239.255.0.2")
    for _ in range(120):
        second.send(161)
        net.run(0.025, first, value=61, each=25)
    assert net.app.feed.count == 1024 and net.slot == 61
    assert far(net) == bytes([161] * 3)


def test_the_second_alone_is_left_out_and_a_lost_one_gives_its_lamps_back():
    net, first, second = both_in()
    net.run(3, second, value=50)
    assert net.app.feed is None or not net.app.feed.is_live()
    net.run(3, first, second, value=60)
    assert far(net) == bytes([60] * 3) and net.slot == 60
    net.run(8, first, value=61)  # 2.5 s until the second is lost (6.7.1), 1 s more as for any short packet, and a fade
    assert net.app.feed.is_live() and net.slot == 61
    assert net.app.feed.count == 512 and far(net) == bytes(3)
    net.run(3, second, value=70)
    assert net.app.feed.is_lost() and net.slot == 61  # the first is lost: so is the feed, and its light stays


def test_a_rig_of_one_universe_takes_the_first():
    net = Net(universe2=2)
    net.run(3, Sender(net), Sender(net, universe=2), value=60)
    assert (net.app.feed.count, len(net.app.feed.frame), net.slot) == (512, 512, 60)


def test_a_look_is_grabbed_of_both_and_a_capture_is_of_the_first():
    net, first, second = both_in()
    for _ in range(120):
        first.send(60)
        second.send(90)
        net.run(0.025)
    once("firmware.ui.pages.feed.feed_control", "grab", net.app)
    net.app.stage.blackout = False
    net.app.stage.go(net.app.show.looks.names()[-1], 0)
    net.run(0.5)
    assert bytes(net.app.stage.frame[FAR - 1:FAR + 2]) == bytes([90] * 3)
    assert net.app.stage.frame[0] == 60
    recorder = once("firmware.ui.pages.feed.feed_control", "prepare_recording", net.app)
    net.run(2, first, second, value=62)
    assert recorder.frames > 30


def test_the_page_has_it_too():
    net = Net(screen=True)
    net.app.open("network")
    pick(net.bench, "Universe 2 in")
    net.bench.turn(1)
    net.bench.press()
    assert net.app.screen.message == "Universe 1 comes in already"
    once("firmware.ui.pages.settings.network", "put", net.app, "universe2", 7)
    assert net.app.input.second.universe == 7 and net.air.groups[-1] == "239.255.0.7"
