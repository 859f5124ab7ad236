"""The page puts the firmware on a board and carries its shows: Chromium on the one side, MicroPython's real VM on the
other, a Web Serial port between them (serial_port.py)."""

import os
import types
import zipfile

import pytest

from host import backup, pack
from sim import demo
from sim.disk import MemoryDisk
from tests.host.vm_board import VM, VmBoard, put
from tests.page.test_page import eventually
from tests.web.conftest import firmware
from tests.web.serial_port import Plug

pytestmark = pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")


@pytest.fixture(scope="module")
def plug(browser):
    """The port of the page below."""
    context = browser.new_context()
    yield Plug(context)
    context.close()


@pytest.fixture(scope="module")
def page(plug, address):
    """One page for the tests of this module; its console's complaints are told at the end."""
    one = plug.context.new_page()
    complaints = []
    one.on("console", lambda message: message.type == "error" and complaints.append(message.text))
    one.on("pageerror", lambda error: complaints.append(str(error)))
    one.goto(address + "?passes=1")
    one.wait_for_selector(".slot", timeout=60_000)
    yield one
    assert complaints == []


@pytest.fixture
def dialog(page):
    """The page with its dialog open."""
    page.click("#to-board")
    yield page
    page.click("#board-dialog form button")


def said(page):
    return page.text_content("#board-dialog pre")


def ends(page, words):
    try:
        eventually(page, lambda: words in said(page), words, 30)
    except AssertionError as error:
        raise AssertionError(f"{error}; it said {said(page)!r}") from None


def test_a_board_gets_the_firmware_and_keeps_its_shows(dialog, plug, tmp_path):
    with VmBoard(tmp_path) as plug.board:
        put(plug.board, {"shows/one/show.json": b"mine"})
        dialog.click('[data-does="flash"]')
        dialog.select_option("#board-dialog select", "pico_tft")
        dialog.click('[data-part="question"] button')
        ends(dialog, "Copied and checked: halfstop 9.8.7 runs on pico_tft.")
        assert plug.board.files() == firmware("9.8.7") | {"shows/one/show.json": b"mine"}
        dialog.click('[data-does="flash"]')  # the board is known now: no question
        ends(dialog, "It was up to date: halfstop 9.8.7 runs on pico_tft.")
        assert plug.board.files() == firmware("9.8.7") | {"shows/one/show.json": b"mine"}


def test_an_older_version_stays_until_the_new_one_has_run(dialog, plug, tmp_path):
    old = firmware("1.0.0")
    with VmBoard(tmp_path) as plug.board:
        put(plug.board, old)
        dialog.click('[data-does="flash"]')
        ends(dialog, "Copied and checked: halfstop 9.8.7 runs")
        assert plug.board.files() == firmware("9.8.7") | {pack.OLD: old[pack.FILE]}


def test_a_cable_that_is_pulled_and_a_foreign_main(dialog, plug, tmp_path):
    with VmBoard(tmp_path) as plug.board:
        put(plug.board, {"main.py": b"print('another program')"})
        dialog.click('[data-does="flash"]')
        dialog.click('[data-part="question"] button')  # the board
        eventually(dialog, lambda: "not Halfstop's" in dialog.text_content('[data-part="question"]'), "the question")
        dialog.click('[data-part="question"] button >> nth=1')
        ends(dialog, "Left as it was: nothing was changed.")
        assert plug.board.files() == {"main.py": b"print('another program')"}
        put(plug.board, {"main.py": pack.MAIN})
        dialog.click('[data-does="flash"]')
        dialog.wait_for_selector('[data-part="question"] button')
        plug.board.cut_after = plug.board.heard + 4000  # a busy machine asks it often who it is
        dialog.click('[data-part="question"] button')
        ends(dialog, "The board went away. Nothing is lost: plug it in again")


def test_shows_go_to_a_zip_and_come_back(dialog, plug, tmp_path, capsys):
    """The .zip has the bytes of `halfstop backup`, and `halfstop check` finds nothing wrong in it."""
    from host import __main__

    disk = MemoryDisk()
    demo.write(disk)
    shown = {path: data for path, data in disk.files.items() if path[-1] not in "~+"}
    with VmBoard(tmp_path, blocks=352) as plug.board:
        put(plug.board, shown)
        with dialog.expect_download() as download:
            dialog.click('[data-does="backup"]')
        ends(dialog, "1 shows, 6 files, all that the board has.")
        path = tmp_path / "page.zip"
        download.value.save_as(path)
        assert backup.main([str(tmp_path / "host.zip"), "--port", plug.board.port]) == 0
    with zipfile.ZipFile(path) as one, zipfile.ZipFile(tmp_path / "host.zip") as other:
        assert {name: one.read(name) for name in one.namelist()} == {n: other.read(n) for n in other.namelist()}
    assert __main__.main(["check", str(path)]) == 0
    (tmp_path / "new").mkdir()
    with VmBoard(tmp_path / "new", blocks=352) as plug.board:
        for words in ("Brought to the board: demo.", "Nothing to bring: the board has these shows"):
            dialog.set_input_files('[data-does="restore"]', path)
            ends(dialog, words)
        there = MemoryDisk({name: data for name, data in plug.board.files().items() if name.startswith("shows/")})
        assert __main__.main(["restore", str(path), "--port", plug.board.port]) == 0
        assert "demo: is on the board as in the backup" in capsys.readouterr().out
        assert there.files["shows/demo/rig.json"] == shown["shows/demo/rig.json"]


def test_a_board_without_micropython(dialog, plug, tmp_path):
    """A port that answers nothing: how to put MicroPython on it."""
    ours, theirs = os.openpty()
    plug.board = types.SimpleNamespace(port=os.ttyname(theirs))
    dialog.click('[data-does="flash"]')
    ends(dialog, "hold the BOOTSEL button while you plug the board in")
    os.close(ours)
    os.close(theirs)


def test_where_web_serial_is_missing_it_says_what_to_do(page):
    page.evaluate("Object.defineProperty(navigator, 'serial', { configurable: true, value: undefined })")
    page.click("#to-board")
    assert "no Web Serial" in said(page) and "pip install halfstop" in said(page)
    assert page.locator("button[data-does]:disabled, input[data-does]:disabled").count() == 3
