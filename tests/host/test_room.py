"""`host room`: what takes the room, in blocks; on a board they are littlefs's own."""

import time

import pytest

from firmware.show import flash_room
from host import room
from sim.disk import MemoryDisk
from tests.host.test_backup import device, users
from tests.host.vm_board import VM, VmBoard, put


@pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")
def test_the_room_on_a_board(tmp_path, capsys):
    with VmBoard(tmp_path, blocks=352) as board:
        put(board, device("Boat"))
        time.sleep(0.3)  # it may still be starting
        assert room.main(["--port", board.port]) == 0
    said = dict(line.split(maxsplit=1) for line in capsys.readouterr().out.splitlines())
    blocks = {name: int(words.split()[-4 if name == "In" else 0]) for name, words in said.items()}
    assert blocks["In"] == 352
    assert sum(blocks[name] for name in (*flash_room.NAMES, "Free")) == 352
    # A folder and a log of more than 512 bytes; a folder and a capture of three blocks (10,240 bytes).
    assert blocks["Looks"] == 2 + 1 and blocks["Captures"] == 2 + 3


def test_the_room_that_a_backup_would_take(tmp_path, capsys):
    for path, data in users(device("Boat")).items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    assert room.main([str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "Looks         1 blocks      4 KB\n" in said  # its five looks in one log, not five files
    assert "pico_tft 352" in said


@pytest.mark.parametrize(("path", "kind"), [
    ("firmware/app.mpy", flash_room.FIRMWARE), ("main.py", flash_room.FIRMWARE), ("hal/", flash_room.FIRMWARE),
    ("shows/a/looks/0.log", flash_room.LOOKS), ("shows/a/looks/", flash_room.LOOKS),
    ("shows/a/slate/00.log", flash_room.SLATE), ("shows/a/slate/", flash_room.SLATE),
    ("shows/slate/rig.json", flash_room.OTHER),
    ("captures/1.cap", flash_room.CAPTURES), ("faults.log", flash_room.OTHER), ("state/base0", flash_room.OTHER),
])
def test_what_a_file_is_counted_among(path, kind):
    assert flash_room.kind(path) == kind


def test_the_total_of_a_folder():
    disk = MemoryDisk({"shows/a/x": bytes(5000), "shows/a/b/y": bytes(100)})
    assert flash_room.total(disk, "shows/a") == 2 + 2 + 2
