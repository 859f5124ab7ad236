"""The page's server: shows a live session in browsers and passes on what is done there. Run by `python -m sim`.

HTTP: the page's files, line.vcd, script.py, feed (POST). Socket: JSON text both ways; to the page also
binary, little-endian, by first byte (x: unused):
  P  x, u16 top row, u16 width, xx, then rows of three bytes a pixel
  F  xxx, u32 packets so far, then the 512 slots of the last whole packet
  L  xxx, then XYZ of each lamp (candela) as float32
Only what changed is sent, and to each page only as fast as it takes it.
"""

import asyncio
import ipaddress
import json
import logging
import math
import pathlib
import struct
import tempfile

from aiohttp import WSMsgType, web

from sim import feeds
from sim.live import SPEEDS, Live, Viewer

PAGE = pathlib.Path(__file__).parent / "page"
MOST_MESSAGE = 16 * 1024
MOST_FEED = 8 * 1024 * 1024

_LOG = logging.getLogger(__name__)
_LIVE = web.AppKey("live", Live)
_NAMES = web.AppKey("names", tuple)


def application(live, names=()):
    """The web application around a live session. names: host names it answers to, besides addresses and localhost."""
    app = web.Application(middlewares=[_same_origin], client_max_size=MOST_FEED)
    app[_LIVE], app[_NAMES] = live, tuple(names)
    app.router.add_get("/", _index)
    app.router.add_get("/socket", _socket)
    app.router.add_get("/line.vcd", _vcd)
    app.router.add_get("/script.py", _script)
    app.router.add_post("/feed", _feed)
    app.router.add_static("/", PAGE)
    app.on_response_prepare.append(_headers)
    return app


async def _index(_request):
    return web.FileResponse(PAGE / "index.html")


async def _headers(_request, response):
    """Nothing from elsewhere, and nothing cached: a page that was edited shows at the next load."""
    response.headers["Cache-Control"] = "no-store"
    response.headers["Content-Security-Policy"] = (
        "default-src 'self'; img-src 'self' data:; style-src 'self'; frame-ancestors 'none'"
    )
    response.headers["X-Content-Type-Options"] = "nosniff"


@web.middleware
async def _same_origin(request, handler):
    """Refuse pages of other sites: a host name that was redirected to this address, or a foreign Origin."""
    host = request.headers.get("Host", "")
    if not _known(host, request.app[_NAMES]):
        raise web.HTTPForbidden(text=f"This simulator does not answer to the name {host!r}.\n")
    origin = request.headers.get("Origin")
    needed = request.path == "/socket" or request.method != "GET"
    if (origin is None and needed) or (origin is not None and origin != f"{request.scheme}://{host}"):
        raise web.HTTPForbidden(text=f"Only this simulator's own page may do this, not {origin}.\n")
    return await handler(request)


def _known(host, names):
    """Whether a Host header is localhost, an address, or one of the names."""
    name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    if name in ("localhost", *names):
        return True
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


async def _socket(request):
    live = request.app[_LIVE]
    socket = web.WebSocketResponse(max_msg_size=MOST_MESSAGE, heartbeat=20, compress=False)
    await socket.prepare(request)
    viewer = Viewer()
    live.viewers.append(viewer)
    live.operator = live.operator or viewer
    sender = asyncio.create_task(_send(live, viewer, socket))
    try:
        async for message in socket:
            if message.type is WSMsgType.TEXT:
                _hear(live, viewer, message.data)
    finally:
        sender.cancel()
        live.viewers.remove(viewer)
        _leave(live, viewer)
    return socket


def _leave(live, viewer):
    """A viewer has gone: no key stays down, and the next viewer may operate the device."""
    if viewer is not live.operator:
        return
    live.session.let_go()
    live.operator = live.viewers[0] if live.viewers else None
    if live.operator:
        live.operator.resend()


async def _send(live, viewer, socket):
    """Send a viewer what it has not been sent, as fast as it takes it."""
    try:
        while True:
            await viewer.wake.wait()
            viewer.wake.clear()
            if viewer.hello:
                viewer.hello = False
                await socket.send_json({"hello": live.hello(viewer)})
            for data in _pictures(live, viewer):
                await socket.send_bytes(data)
            texts, viewer.texts = viewer.texts, []
            for text in texts:
                await socket.send_json(text)
    except ConnectionError:
        pass  # the tab was closed; the reader of the socket sees it too


def _pictures(live, viewer):
    """The binary messages that bring a viewer up to date."""
    machine = live.session.machine
    if viewer.rows:
        top, bottom = max(viewer.rows[0], 0), min(viewer.rows[1], machine.panel.height)
        viewer.rows = None
        dark = bytes(3 * machine.panel.width * (bottom - top))
        rgb = machine.panel.rgb(top, bottom) if machine.powered else dark
        yield struct.pack("<cxHHxx", b"P", top, machine.panel.width) + rgb
    if viewer.frame:
        viewer.frame = False
        yield struct.pack("<cxxxI", b"F", live.packets & 0xFFFFFFFF) + machine.frame
    if viewer.lights:
        viewer.lights = False
        values = [value for lamp in live.session.lamps for value in lamp.xyz]
        yield struct.pack(f"<cxxx{len(values)}f", b"L", *values)


def _hear(live, viewer, text):
    """Act on one message of a page: an object of verbs. What is wrong with it is sent to that page alone."""
    try:
        message = json.loads(text)
        for verb, value in message.items():
            if verb not in _VERBS:
                raise ValueError(f"no verb {verb!r}")
            if viewer is not live.operator and verb not in _FREE:
                raise ValueError("Another tab holds the knob; this one only looks on.")
            _VERBS[verb](live, viewer, value)
    except RecursionError:
        viewer.post(notice="A message is nested too deep to be read")
        _LOG.warning("a message of %d letters is nested too deep: left out", len(text))
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError) as error:
        viewer.post(notice=str(error))
    live.nudge()


def _take(live, viewer, _value):
    """This tab operates the device from now on."""
    live.session.let_go()
    live.operator = viewer
    live.resend()


def _speed(live, _viewer, value):
    if value not in SPEEDS:
        raise ValueError(f"speed {value!r}: there are {SPEEDS}")
    live.speed = value


def _play(live, _viewer, value):
    text, feed = feeds.MADE[value]
    live.session.play(value if feed else "", feed)


def _trim(live, viewer, value):
    """Set trims by the simulated meters: {"names": [...], "keep": bool}."""
    viewer.post(trimmed=live.session.trim(list(value["names"]), bool(value["keep"])))


def _meter(_live, viewer, value):
    """Put the meter somewhere: {"at": [x, y, z], "normal": [x, y, z], "dome": bool}."""
    at, normal = ([float(part) for part in value[key]] for key in ("at", "normal"))
    if len(at) != 3 or len(normal) != 3 or not all(map(math.isfinite, at + normal)):
        raise ValueError("meter: a point and a direction have three numbers each")
    viewer.meter = at, normal, bool(value["dome"])


def _camera(_live, viewer, value):
    """The camera whose stop the meter gives: {"iso", "fps", "shutter"}."""
    camera = {name: float(value[name]) for name in ("iso", "fps", "shutter")}
    if not all(0 < number < 1e6 for number in camera.values()):
        raise ValueError("camera: ISO, fps and shutter are above 0")
    viewer.camera = camera


_VERBS = {
    "turn": lambda live, _viewer, value: live.session.turn(value),
    "down": lambda live, _viewer, value: live.session.key(value, True),
    "up": lambda live, _viewer, value: live.session.key(value, False),
    "power": lambda live, _viewer, value: live.power(value == "boot"),
    "restart": lambda live, _viewer, _value: live.session.restart(),
    "speed": _speed,
    "step": lambda live, _viewer, _value: live.one_packet(),
    "session": lambda live, _viewer, value: live.start(**value),
    "feed": _play,
    "trim": _trim,
    "meter": _meter,
    "camera": _camera,
    "take": _take,
    "seen": lambda live, _viewer, _value: live.session.machine.forgive(),
}
_FREE = ("take", "meter", "camera")  # verbs of tabs that do not operate the device too


async def _vcd(request):
    """The last packets on the line as a VCD file."""
    line = request.app[_LIVE].session.machine.line
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "line.vcd"
        try:
            line.save_vcd(path)
        except ValueError as error:
            raise web.HTTPConflict(text=f"{error}\n") from None
        return web.Response(body=path.read_bytes(), content_type="text/plain")


async def _script(request):
    """What was done since power-up, as a Bench script."""
    return web.Response(text=request.app[_LIVE].session.script(), content_type="text/x-python")


async def _feed(request):
    """Play a feed from a file from now on."""
    live = request.app[_LIVE]
    try:
        live.session.play("file", feeds.from_text((await request.read()).decode()))
    except ValueError as error:
        raise web.HTTPBadRequest(text=f"That file is no feed: {error}") from None
    return web.Response(text="playing")
