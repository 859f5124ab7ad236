"""A simulator and a browser for the tests of the page."""

import contextlib
import shutil
import subprocess
import sys

import pytest

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextlib.contextmanager
def simulator(*words):
    """`python -m sim` on a free port, as a user starts it -> its address."""
    command = [sys.executable, "-m", "sim", "--no-open", "--port", "0", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        said = process.stdout.readline()
        try:
            assert "http://127.0.0.1:" in said, said + process.stdout.read()
            yield said.split()[4]
        finally:
            process.terminate()


def chromium():
    """How playwright starts the Chromium that is there, without a window. Skips where there is none."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("chromium is not installed")
    return {"executable_path": path, "headless": True, "args": FLAGS}


@pytest.fixture(scope="module")
def address():
    """One simulator for the tests of a module."""
    with simulator() as where:
        yield where


@pytest.fixture(scope="module")
def tab(browser, address):
    """One tab for the tests of a module, with a rough picture; its console's complaints are kept."""
    one = browser.new_page(viewport={"width": 1440, "height": 900})
    one.complaints = []
    one.on("console", lambda message: message.type == "error" and one.complaints.append(message.text))
    one.on("pageerror", lambda error: one.complaints.append(str(error)))
    one.goto(address + "?passes=1")
    one.wait_for_selector(".slot")
    yield one
    one.close()


@pytest.fixture
def page(tab):
    """The tab, on a freshly started device."""
    before = tab.evaluate("document.body.dataset.started")
    tab.evaluate("document.querySelector('#fresh').click()")
    tab.focus("#knob")
    for _ in range(200):
        tab.wait_for_timeout(50)
        if tab.evaluate("document.body.dataset.started") != before:
            break
    tab.wait_for_timeout(400)  # a state or two of the new session have come
    yield tab
    assert tab.complaints == []
