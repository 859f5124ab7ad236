"""The page's server: shows a live session in browsers and passes on what is done there. Run by `python -m sim`.

HTTP: the page's files, line.vcd, script.py, feed (POST). Socket: JSON text both ways, to the page also binary: what
they say is in talk.py. Only what changed is sent, and to each page only as fast as it takes it.
"""

import asyncio
import ipaddress
import logging
import pathlib
import tempfile

from aiohttp import WSMsgType, web

from sim import feeds, talk
from sim.live import Live, Viewer

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
            for data in talk.pictures(live, viewer):
                await socket.send_bytes(data)
            texts, viewer.texts = viewer.texts, []
            for text in texts:
                await socket.send_json(text)
    except ConnectionError:
        pass  # the tab was closed; the reader of the socket sees it too


def _hear(live, viewer, text):
    """Act on one message of a page (sim/talk.py)."""
    try:
        talk.hear(live, viewer, text)
    except RecursionError:
        viewer.post(notice="A message is nested too deep to be read")
        _LOG.warning("a message of %d letters is nested too deep: left out", len(text))


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
