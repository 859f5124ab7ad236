"""The folder that `make web` writes, handed out by a plain file server."""

import functools
import http.server
import pathlib
import tempfile
import threading

import pytest

from host import archive, pack, web


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Files, and no lines on the console."""

    def log_message(self, *_words):
        """Say nothing."""


def firmware(number):
    """A firmware of a few lines for the VM, in the archive that boards get."""
    source = f'def run():\n    print("halfstop", "{number}", "pico_tft")\n'
    with tempfile.TemporaryDirectory() as work:
        path = pathlib.Path(work) / "main.py"
        path.write_text(source)
        made = pack.compile_one("firmware/main.py", path, "")
    return {pack.FILE: archive.make(pack.reader(), "pico_tft", {"firmware/main.mpy": made}), "main.py": pack.MAIN}


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    """The files, with a small firmware for one board and none for the others."""
    if not (web.VM / "micropython.wasm").exists():
        pytest.skip("MicroPython's WebAssembly build is not there (make test fetches it by npm)")
    made = tmp_path_factory.mktemp("web")
    web.build(made, {"pico_tft": firmware("9.8.7"), "pico_oled": firmware("0.0.0")})
    return made


@pytest.fixture(scope="session")
def address(folder):
    """Where they are handed out."""
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=folder)) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


@pytest.fixture
def visitor(browser):
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
