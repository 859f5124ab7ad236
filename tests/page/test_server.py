"""The server: who may ask, what it takes, what it says. Over real sockets, without a browser."""

import asyncio
import concurrent.futures
import json

import aiohttp
import pytest
from aiohttp.test_utils import TestClient, TestServer

from sim.__main__ import arguments
from sim.live import Live
from sim.server import MOST_MESSAGE, application


def served(does):
    """Run an async function on a client of a running simulator; in a thread: playwright's loop runs in this one."""

    async def inside():
        live = Live("pico2_tft", "demo")
        client = TestClient(TestServer(application(live)))
        await client.start_server()
        time = asyncio.create_task(live.run())
        try:
            return await does(client, live)
        finally:
            time.cancel()
            await client.close()

    with concurrent.futures.ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(inside())).result()


def own(client):
    return {"Origin": f"http://{client.host}:{client.port}"}


async def heard(socket, kind, seconds=5):
    """The next JSON message of a kind."""
    async with asyncio.timeout(seconds):
        async for message in socket:
            if message.type is aiohttp.WSMsgType.TEXT and kind in json.loads(message.data):
                return json.loads(message.data)[kind]
    raise AssertionError(f"closed before a {kind}")


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", "http://127.0.0.1:1", None])
def test_other_origins_are_refused(origin):
    """RFC 6455, 10.2: a server checks the Origin of a page that asks for its socket."""

    async def does(client, _live):
        headers = {"Origin": origin} if origin else {}
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await client.ws_connect("/socket", headers=headers)
        assert refused.value.status == 403
        answer = await client.post("/feed", data=b"0 ff", headers=headers)
        assert answer.status == 403

    served(does)


def test_other_names_are_refused():
    """A foreign name turned to this address (DNS rebinding) gets nothing."""

    async def does(client, _live):
        answer = await client.get("/", headers={"Host": "elsewhere.example:8040"})
        assert answer.status == 403
        assert (await client.get("/")).status == 200
        assert (await client.get("/", headers={"Host": "localhost:8040"})).status == 200

    served(does)


def test_nothing_comes_from_elsewhere():
    """The page fetches nothing from another site: its policy says so to the browser."""

    async def does(client, _live):
        answer = await client.get("/")
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'self'")
        assert "//" not in (await answer.text()).replace("<!doctype", "")

    served(does)


def test_messages_are_bounded():
    async def does(client, _live):
        socket = await client.ws_connect("/socket", headers=own(client))
        await socket.send_str(" " * (MOST_MESSAGE + 1))
        async with asyncio.timeout(5):
            while not socket.closed:
                await socket.receive()
        assert socket.close_code == 1009  # RFC 6455, 7.4.1: too big

    served(does)


@pytest.mark.parametrize(
    ("message", "answer"),
    [
        ("no json", "Expecting value"),
        ('{"shout": 1}', "no verb 'shout'"),
        ('{"turn": 1e9}', "detents"),
        ('{"down": "x"}', "no key"),
        ('{"session": {"board": "../x"}}', "no board called"),
        ('{"session": {"show": "/etc"}}', "no show called"),
        ('{"speed": 1000}', "speed"),
        ('{"meter": {"at": [0, 0], "normal": [0, 0, 1], "dome": true}}', "three numbers"),
        ('{"meter": {"at": [0, 0, NaN], "normal": [0, 0, 1], "dome": true}}', "three numbers"),
        ('{"camera": {"iso": 0, "fps": 24, "shutter": 180}}', "above 0"),
        ("[1]", "list"),
    ],
)
def test_what_is_wrong_is_said_and_time_goes_on(message, answer):
    async def does(client, live):
        socket = await client.ws_connect("/socket", headers=own(client))
        await socket.send_str(message)
        assert answer in await heard(socket, "notice")
        before = live.session.ms
        for _ in range(80):  # a busy computer
            await asyncio.sleep(0.1)
            if live.session.ms > before:
                break
        assert live.session.ms > before

    served(does)


def test_the_second_looks_on():
    async def does(client, live):
        first = await client.ws_connect("/socket", headers=own(client))
        assert (await heard(first, "hello"))["hand"] is True
        second = await client.ws_connect("/socket", headers=own(client))
        assert (await heard(second, "hello"))["hand"] is False
        await second.send_json({"turn": 5})
        assert "Another tab holds the knob" in await heard(second, "notice")
        assert not any("turn" in call for _ms, call in live.session.recorder.calls)
        await second.send_json({"take": True})
        assert (await heard(first, "hello"))["hand"] is False
        await second.send_json({"down": "look"})
        await asyncio.sleep(0.1)
        await second.close()
        assert (await heard(first, "hello"))["hand"] is True
        assert live.session.recorder.calls[-1][1] == "b.key_up('look')"  # nothing stays pressed

    served(does)


def test_binary_messages():
    """Each as sim/server.py's first lines say."""

    async def does(client, live):
        socket = await client.ws_connect("/socket", headers=own(client))
        found = {}
        async with asyncio.timeout(5):
            while set(found) != set("PFL"):
                message = await socket.receive()
                if message.type is aiohttp.WSMsgType.BINARY:
                    found[chr(message.data[0])] = message.data
        assert len(found["F"]) == 8 + 512
        assert len(found["L"]) == 4 + 12 * len(live.session.lamps)
        assert int.from_bytes(found["P"][4:6], "little") == 320
        assert len(found["P"]) % (320 * 3) == 8

    served(does)


def test_line_and_script_can_be_saved():
    async def does(client, _live):
        await asyncio.sleep(0.2)
        assert "$timescale 100 ns" in await (await client.get("/line.vcd")).text()
        assert "with Bench(board='pico2_tft', show='demo') as b:" in await (await client.get("/script.py")).text()

    served(does)


def test_a_feed_from_a_file():
    async def does(client, live):
        answer = await client.post("/feed", data=b"0 ff80\n40 00", headers=own(client))
        assert answer.status == 200
        for _ in range(20):
            await asyncio.sleep(0.02)
            good = live.session.machine.counts["good"]
        assert good > 5
        answer = await client.post("/feed", data=b"0 hello", headers=own(client))
        assert answer.status == 400
        assert "line 1" in await answer.text()

    served(does)


def test_arguments():
    asked = arguments(["--no-open", "--port", "0"])
    assert (asked.listen, asked.board, asked.show) == ("127.0.0.1", "pico2_tft", "demo")
    for wrong in (["--board", "none_such"], ["--show", "no/such/folder"]):
        with pytest.raises(SystemExit):
            arguments(wrong)


def test_a_message_nested_deep_is_told_to_its_tab_and_to_the_log(caplog):
    async def does(client, live):
        first = await client.ws_connect("/socket", headers=own(client))
        await heard(first, "hello")
        second = await client.ws_connect("/socket", headers=own(client))
        await heard(second, "hello")
        await second.send_str('{"turn":' + "[" * 7000 + "]" * 7000 + "}")
        assert "nested too deep" in await heard(second, "notice")
        await first.send_str(json.dumps({"speed": "no such"}))
        assert await heard(first, "notice")
        assert live.operator is not None

    served(does)
    assert any("nested too deep" in record.getMessage() for record in caplog.records)
