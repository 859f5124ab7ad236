"""The folder that `make web` writes, handed out by a plain file server."""

import functools
import http.server
import threading

import pytest

from host import web
from tests.page.conftest import browser  # noqa: F401  a fixture


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Files, and no lines on the console."""

    def log_message(self, *_words):
        """Say nothing."""


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    """The files."""
    if not (web.VM / "micropython.wasm").exists():
        pytest.skip("MicroPython's WebAssembly build is not there (make test fetches it by npm)")
    made = tmp_path_factory.mktemp("web")
    web.build(made)
    return made


@pytest.fixture(scope="session")
def address(folder):
    """Where they are handed out."""
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=folder)) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


@pytest.fixture
def visitor(browser):  # noqa: F811
    """A browser's profile of its own: what it keeps is its own too."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    yield context
    context.close()


@pytest.fixture
def page(visitor, address):
    """The page, running; its console's complaints are told at the end."""
    one = visitor.new_page()
    complaints = []
    one.on("console", lambda message: message.type == "error" and complaints.append(message.text))
    one.on("pageerror", lambda error: complaints.append(str(error)))
    one.goto(address + "?passes=1")
    one.wait_for_selector(".slot", timeout=60_000)
    yield one
    assert complaints == []
