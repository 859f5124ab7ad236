"""PyPI's `sacn` sends by UDP on loopback to a simulator that runs, as a user would let it: the page's list of feeds
lets the device listen. Without a network beyond loopback."""

import asyncio
import json
import re
import socket
import time

import pytest

from firmware.show import file_format
from firmware.wire.e131 import PORT, group
from sim import Bench
from sim.disk import MemoryDisk
from sim.radio import Air

sacn = pytest.importorskip("sacn", reason="PyPI's sacn is not installed")
aiohttp = pytest.importorskip("aiohttp", reason="aiohttp is not installed")


class Desk:
    """A sender of PyPI's sacn on one universe, for a `with`. address: of one receiver; None: multicast."""

    def __init__(self, universe, name="Desk", priority=100, address=None):
        self.sender = sacn.sACNsender(bind_address="127.0.0.1", bind_port=0, source_name=name, fps=40)
        self.universe, self.priority, self.address = universe, priority, address

    def __enter__(self):
        self.sender.start()
        self.sender.activate_output(self.universe)
        output = self.sender[self.universe]
        output.priority = self.priority
        output.multicast = self.address is None
        output.destination = self.address or "127.0.0.1"
        return output

    def __exit__(self, *_error):
        self.sender.stop()


def heard(air, seconds=3.0):
    """The first datagram that comes in in so much real time, or None."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        data = air.take(2000)
        if data:
            return data
        time.sleep(0.01)
    return None


@pytest.mark.parametrize("address", [None, "127.0.0.1"], ids=["multicast", "unicast"])
def test_the_socket_hears_both_ways(address):
    """On one port: what is sent to the group of the universe, and what is sent to this computer."""
    universe = 20_000 + time.time_ns() // 1000 % 20_000  # of this run alone
    air = Air("127.0.0.1")
    air.listen(PORT, [group(universe)])
    try:
        with Desk(universe, address=address) as output:
            output.dmx_data = (1, 2, 3)
            data = heard(air)
    finally:
        air.close()
    assert data and data[126:129] == bytes((1, 2, 3)) and data[113] << 8 | data[114] == universe


def test_a_port_that_is_taken_is_told():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("", 0))
        with pytest.raises(OSError):
            Air("127.0.0.1").listen(other.getsockname()[1], [])


def test_another_program_receives_what_the_device_sends():
    """PyPI's sacn listens on the loopback to the device's line."""
    universe = 20_000 + time.time_ns() // 1000 % 20_000
    disk = MemoryDisk()
    settings = {"on": 0, "wifi": "Studio", "password": "", "universe": 1, "out": universe}
    disk.write("network.json", bytes(file_format.seal(settings, file_format.SCHEMA)))
    member = Air("127.0.0.1")  # of the group; the receiver would ask for it where the computer's own network is
    member.listen(PORT, [group(universe)])
    air, got = Air("127.0.0.1"), []
    receiver = sacn.sACNreceiver(bind_address="0.0.0.0")
    receiver.register_listener("universe", got.append, universe=universe)
    news = []
    receiver.register_listener("availability", lambda universe, changed: news.append((universe, changed)))
    receiver.start()
    try:
        b = Bench("s3_tft", disk=disk, air=air)
        b.app.stage.go("Moonlight", 0)
        end = time.monotonic() + 15
        while not (got and bytes(got[-1].dmxData) == b.frame) and time.monotonic() < end:
            b.run(0.1)
            time.sleep(0.005)
        assert (universe, "available") in news and (universe, "timeout") not in news
        said = time.monotonic()
        b.app.input.close()
        while (universe, "timeout") not in news and time.monotonic() < end:
            time.sleep(0.01)
        waited = time.monotonic() - said
    finally:
        receiver.stop()
        air.close()
        member.close()
    assert bytes(got[-1].dmxData) == b.frame != bytes(512)
    assert got[-1].sourceName.startswith("Halfstop") and got[-1].priority == 100
    assert waited < 2  # it did not wait for its timeout of 2.5 s: the last packets said that it stops


async def talk(address):
    """Choose sACN in the running simulator's list of feeds, send to it, and stop -> what the page is told: the feed's
    words while it sends and when it has stopped, and the slots that were on the line."""
    said, slots = [], set()
    async with aiohttp.ClientSession() as session:
        headers = {"Origin": address.rstrip("/")}
        async with session.ws_connect(address + "socket", headers=headers) as page:
            await page.send_str(json.dumps({"feed": "sacn"}))

            async def hear(until):
                end = time.monotonic() + 40
                async for message in page:
                    if message.type is aiohttp.WSMsgType.TEXT:
                        state = json.loads(message.data).get("state")
                        if state:
                            said.append(state["feed"])
                    elif message.data[:1] == b"F":
                        slots.add(message.data[8 + 511])
                    if until():
                        return
                    assert time.monotonic() < end, said[-3:]

            await hear(lambda: said and "127.0.0.1" in said[-1])
            with Desk(1, "Balcony desk", 120) as output:
                output.dmx_data = (0,) * 511 + (77,)
                await hear(lambda: "Balcony desk with priority 120" in said[-1] and 77 in slots)
                sends = said[-1]
            await hear(lambda: "Balcony desk" not in said[-1])
    return sends, said[-1]


def test_a_running_simulator(tmp_path):
    from tests.page.conftest import simulator

    with simulator("--board", "s3_tft") as address:
        sends, stopped = asyncio.run(talk(address))
    assert int(re.search(r"(\d+) packets", sends)[1]) > 0
    assert "universe 1: nobody" in stopped  # PyPI's sacn says that it stops


def test_a_board_without_a_radio_says_so():
    from sim.session import OnPython, Session

    session = Session(OnPython("pico_oled", "demo"))
    assert not session.machine.has_radio and session.machine.heard == ""
    with pytest.raises(ValueError, match="s3_tft"):
        session.play("sacn", None)
