"""Verbs that look into a board and change its shows: status, new, remove, log, import --to, against the real VM."""

import io
import re
import threading

import pytest

from firmware.show.show import Show
from host import Refused, __main__, backup, flash, log
from sim import demo
from sim.disk import MemoryDisk
from tests.host.gdtf_files import channel, fixture
from tests.host.vm_board import VM, VmBoard, put

pytestmark = pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")
HELLO = b"# Halfstop\nprint('halfstop 1.2.3 pico_tft')\n"


@pytest.fixture(scope="module")
def shown():
    """The files of a device with the demo show open, and Halfstop's main.py."""
    disk = MemoryDisk()
    demo.write(disk)
    return {path: data for path, data in disk.files.items() if path[-1] != "~"} | {
        "shelf.json": b'{"crc":"1bee8f35","dark":false,"open":"demo","schema":1}', "board.txt": b"pico_tft",
        "main.py": HELLO}


@pytest.fixture
def board(shown, tmp_path):
    with VmBoard(tmp_path, blocks=352) as one:
        put(one, shown)
        yield one


def halfstop(board, *words):
    return __main__.main([*words, "--port", board.port])


def test_status_new_and_remove(board, capsys):
    """One board for all of it: each start of the VM takes time."""
    assert halfstop(board, "status") == 0
    said = capsys.readouterr().out
    assert re.search(r"^board: Invented board with RP2040, MicroPython \d+\.\d+\.\d+, on /dev/", said, re.MULTILINE)
    assert "show: demo  'demo'  6 lamps  (open)" in said and "no faults logged" in said
    assert "firmware: halfstop 1.2.3 runs on pico_tft" in said
    free = int(re.search(r"room: (\d+) of 352 blocks free", said)[1])
    assert 300 < free < 352

    assert halfstop(board, "new", "Wet Street") == 0
    assert "wet-street: made on the board" in capsys.readouterr().out
    assert b'"name":"Wet Street"' in board.files()["shows/wet-street/show.json"]
    assert halfstop(board, "new", " ") == 1
    assert "A show needs a name. Nothing was made." in capsys.readouterr().err

    assert halfstop(board, "remove", "wet-street") == 1
    assert "--yes. Nothing was deleted." in capsys.readouterr().err
    assert halfstop(board, "remove", "demo", "--yes") == 1
    assert "is open. Open another show" in capsys.readouterr().err
    assert halfstop(board, "remove", "none", "--yes") == 1
    assert "there is no show none on the board; there are: demo, wet-street" in capsys.readouterr().err
    assert halfstop(board, "remove", "wet-street", "--yes") == 0
    assert not [path for path in board.files() if path.startswith("shows/wet-street")]


def test_import_goes_straight_into_a_show_on_the_board(board, tmp_path, capsys):
    path = fixture(tmp_path / "lamp.gdtf", {"one": [channel("Dimmer", (1, 2))]})
    assert halfstop(board, "import", path, "--to", "rooftop") == 1
    assert "there is no show rooftop on the board; there are: demo" in capsys.readouterr().err
    assert halfstop(board, "import", path, "--to", "demo", "--name", "Rim") == 0
    address = int(re.search(r"set Rim to address (\d+)", capsys.readouterr().out)[1])
    disk = MemoryDisk({path: data for path, data in board.files().items() if path.startswith("shows/")})
    show = Show(disk, "shows/demo")
    show.load()
    assert show.faults == [] and show.rig.find("Rim").address == address and len(show.rig) == 7


def test_a_board_without_the_firmware_is_said(tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        assert halfstop(board, "status") == 1
    assert "none of Halfstop's; halfstop flash puts it there" in capsys.readouterr().out


def test_the_log_follows_without_stopping_the_board(tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        put(board, {"main.py": b"import time\nfor n in range(1000):\n    print('line', n)\n    time.sleep(0.02)\n"})
        out = io.StringIO()
        thread = threading.Thread(target=log.follow, args=(board.port, out, True))
        thread.start()
        while out.getvalue().count("line") < 20:
            thread.join(0.05)
        board.unplug()
        thread.join(10)
        assert not thread.is_alive()
    numbers = [int(n) for n in re.findall(r"line (\d+)\n", out.getvalue())]
    assert numbers == list(range(numbers[0], numbers[0] + len(numbers))) and out.getvalue().endswith("went away)\n")


def test_a_log_of_no_port(capsys):
    assert __main__.main(["log", "--port", "/dev/none"]) == 1
    assert "there is no port /dev/none" in capsys.readouterr().err


class Slow:
    """A port whose board says these words one by one, with pauses: link's port as await_hello sees it."""

    def __init__(self, words, clock):
        self.serial, self._words, self._clock = self, [*words], clock

    def inWaiting(self):  # noqa: N802  pyserial's name
        self._clock.now += 0.4
        return 1 if self._words and self._clock.now % 0.8 < 0.4 else 0

    def read(self, _count):
        return self._words.pop(0)


def test_a_traceback_is_read_to_its_end_on_a_slow_machine(monkeypatch):
    """Each of its lines comes 0.8 s after the one before: longer than a fixed time would have waited."""
    class Clock:
        now = 0.0

        def monotonic(self):
            return self.now

        def sleep(self, seconds):
            self.now += seconds

    clock = Clock()
    monkeypatch.setattr(flash, "time", clock)
    words = [b"halfstop 1 pico_tft\r\n", b"Traceback (most recent call last):\r\n",
             b'  File "app", line 3, in step\r\n', b"ZeroDivisionError: divide by zero\r\n", b"MicroPython v1\r\n>>> "]
    with pytest.raises(Refused, match="(?s)it crashed.*ZeroDivisionError: divide by zero"):
        flash.await_hello(Slow(words, clock), flash.boards.load("pico_tft"), 20)


def test_what_went_wrong_here_is_not_blamed_on_the_board(board, tmp_path, monkeypatch):
    """A disk that is full, in the middle of a backup."""
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.write_bytes", full)
    with pytest.raises(Refused, match="b.zip.part: the disk is full"):
        backup.main([str(tmp_path / "b.zip"), "--port", board.port])


def test_restoring_twice_finds_it_as_in_the_backup(shown, tmp_path, capsys):
    """From a folder with old copies, which a device's flash has: rig.json~."""
    for path, data in shown.items():
        made = tmp_path / "device" / path
        made.parent.mkdir(parents=True, exist_ok=True)
        made.write_bytes(data)
    (tmp_path / "device/shows/demo/rig.json~").write_bytes(shown["shows/demo/rig.json"])
    with VmBoard(tmp_path, blocks=352) as board:
        for said in ("1 shows brought to the board: demo", "demo: is on the board as in the backup"):
            assert halfstop(board, "restore", str(tmp_path / "device")) == 0
            assert said in capsys.readouterr().out
