"""The page without a server (`make web`): how large it is, and how long until the first picture."""

import functools
import gzip
import http.server
import pathlib
import tempfile
import threading

from playwright.sync_api import sync_playwright

from host import Refused, web
from tests.page.conftest import chromium
from tests.web.conftest import Quiet

# When the panel was painted first, in ms since the visit began.
WATCH = """addEventListener('painted', ({ target }) => {
  if (target.id === 'panel') window.painted ??= performance.now();
}, true);"""


def figures():
    """web_first_picture_ms: from the visit to the panel's first pixels, the middle of three first visits, at whatever
    load the machine has; web_bytes: what such a visit fetches, as files; web_bytes_compressed: by gzip -9."""
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        try:
            web.build(folder, {})
        except Refused as error:
            return {"web_first_picture_ms": None, "web_bytes": None, "web_bytes_compressed": None, "note": str(error)}
        data = [path.read_bytes() for path in folder.iterdir() if path.is_file()]
        with http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=name)) as server:
            threading.Thread(target=server.serve_forever, daemon=True).start()
            times = first_pictures(f"http://127.0.0.1:{server.server_port}/")
            server.shutdown()
    return {"web_first_picture_ms": sorted(times)[1], "web_bytes": sum(map(len, data)),
            "web_bytes_compressed": sum(len(gzip.compress(one, 9)) for one in data)}


def first_pictures(address):
    """ms of three visits, each of a browser's profile of its own."""
    times = []
    with sync_playwright() as play:
        browser = play.chromium.launch(**chromium())
        for _ in range(3):
            context = browser.new_context()
            context.add_init_script(WATCH)
            page = context.new_page()
            page.goto(address)
            page.wait_for_function("window.painted", timeout=60_000)
            times.append(round(page.evaluate("window.painted")))
            context.close()
        browser.close()
    return times
