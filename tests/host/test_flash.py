"""`host flash` against the real MicroPython VM over a pty, its files on real littlefs (vm_board.py)."""

import pathlib
import random
import re
import shutil
import socket
import subprocess
import sys
import threading

import littlefs
import pytest
import serial

from host import Refused, archive, flash, link, pack, remote
from tests.host.vm_board import VM, VmBoard, put

pytestmark = pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")
MAIN = '''
VERSION = "9.8.7"
def run():
    from firmware import small
    print("halfstop", VERSION, open("boards/board.txt").read())
'''


@pytest.fixture
def tree(tmp_path, monkeypatch):
    """A small firmware of our own in place of the real one, so that these tests don't change with it."""
    root = tmp_path / "tree"
    shutil.copytree(pack.ROOT / "boards", root / "boards")
    for name, text in {
        "firmware/__init__.py": "", "firmware/main.py": MAIN, "firmware/small.py": "A = '1'\n",
        "firmware/big.py": "T = (" + ",".join(f"'{n:040}'" for n in range(200)) + ")\n",
        "hal/__init__.py": "", "hal/rp2/__init__.py": "", "hal/rp2/make.py": "from hal import disk\n",
        "hal/disk.py": "B = 2\n", "hal/unused.py": "C = 3\n", "hal/contract.py": "",
        "hal/panels/__init__.py": "", "hal/panels/st7789.py": "", "hal/panels/sh1106.py": "",
    }.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    monkeypatch.setattr(pack, "ROOT", root)
    monkeypatch.setattr(flash, "SETTLE", 0.5)
    return root


def run(board, *words):
    return flash.main(["--port", board.port, "--board", "pico_tft", *words])


def wanted():
    """What is on the board after a flash: {path: bytes}."""
    return pack.packed(flash.boards.load("pico_tft"), "x64")


def told(capsys):
    return capsys.readouterr().out


def test_first_second_and_changed(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        assert run(board) == 0
        said = told(capsys)
        assert "RP2040" in said and said.endswith("halfstop 9.8.7 runs on pico_tft\n")
        first = wanted()
        assert board.files() == first
        assert run(board) == 0
        assert "0 files to copy (0 bytes), 2 up to date, 0 to remove" in told(capsys)
        assert board.files() == first
        (tree / "firmware/small.py").write_text("A = '4'\n")
        assert run(board) == 0
        assert re.search(r"^1 files to copy .* 1 up to date, 0 to remove$", told(capsys), re.M)
        assert board.files() == wanted() | {"halfstop_old.mpy": first["halfstop.mpy"]}


def test_only_what_the_board_needs_is_packed(tree):
    names = set(pack.build(flash.boards.load("pico_tft"), "armv6m"))
    assert {"hal/disk.mpy", "hal/rp2/make.mpy", "hal/panels/st7789.mpy", "boards/pico_tft.mpy"} <= names
    assert not names & {"hal/unused.mpy", "hal/contract.mpy", "hal/panels/sh1106.mpy", "boards/chips.mpy",
                        "boards/pico2_tft.mpy"}


def test_shows_stay_as_they_are(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        port = link.connect(board.port)
        port.exec("import os\nos.mkdir('shows')\nos.mkdir('shows/one')")
        port.exec("f = open('shows/one/firmware.mpy', 'w')\nf.write('mine')\nf.close()")
        port.close()
        assert run(board) == 0
        assert board.files()["shows/one/firmware.mpy"] == b"mine"


def test_dry_run_changes_nothing(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        assert run(board, "--dry-run") == 0
        assert "copy   halfstop.mpy" in told(capsys)
        assert board.files() == {}


def test_a_board_that_vanishes_is_gone_on_with(tree, tmp_path, capsys):
    """What was copied is synced every 32 KB: of this archive two thirds are there before the cable is pulled."""
    (tree / "firmware/big.bin").write_bytes(random.Random(1).randbytes(100_000))
    with VmBoard(tmp_path) as board:
        board.cut_after = 140_000  # of base64 and some words: 75 % of these bytes are of the archive
        with pytest.raises(Refused, match="the board went away.*plug it in again"):
            run(board)
        half = board.files()
        assert [*half] == ["halfstop.new"]
        assert len(half["halfstop.new"]) >= 65536
    with VmBoard(tmp_path) as board:
        capsys.readouterr()
        assert run(board) == 0
        copied = int(re.search(r"copy \(([\d,]+) bytes", told(capsys))[1].replace(",", ""))
        assert copied == sum(map(len, wanted().values())) - len(half["halfstop.new"])
        assert board.files() == wanted()


def test_a_broken_half_of_another_version_is_dropped(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        put(board, {"halfstop.new": b"of another version"})
        assert run(board) == 0
        assert board.files() == wanted()


TWICE = '''
def run():
    from firmware import small
    print("halfstop", "{0}" + small.A, "pico_tft")
'''
# What a board was given before there was an archive, beside loose files.
BEFORE = b'''# Halfstop: starts the firmware.
import os
import sys
sys.path.append("/firmware")  # short names of today
if "update.txt" in os.listdir():
    print("halfstop: the update did not finish; run it again: python -m host flash")
else:
    from firmware.main import run
    run()
'''


def version(tree, n):
    """Make the firmware say its number twice, from two modules."""
    (tree / "firmware/main.py").write_text(TWICE.format(n))
    (tree / "firmware/small.py").write_text(f"A = '{n}'\n")


def loose(arch="x64"):
    """The files of a board from the time before the archive, when all modules had a folder."""
    files = pack.build(flash.boards.load("pico_tft"), arch)
    del files["boards/board.txt"]
    flat = pack.FLAT + "/"
    files = {path.replace(flat, "firmware/", path.startswith(flat)): data for path, data in files.items()}
    return files | {"main.py": BEFORE, "board.txt": b"pico_tft"}


def powered_up(folder):
    """What the board says by itself when it gets power."""
    with VmBoard(folder) as board, serial.Serial(board.port, timeout=5) as port:
        return port.read_until(b">>>").decode()


@pytest.mark.parametrize("before", ["loose", "archive"])
def test_power_lost_at_any_write_leaves_one_version(tree, tmp_path, capsys, monkeypatch, before):
    """The old one or the new one, never none and never half of each; and the next run goes on from there."""
    monkeypatch.setattr(flash, "SETTLE", 0.1)
    (tree / "firmware/big.py").unlink()
    version(tree, 1)
    with VmBoard(tmp_path) as board:
        if before == "loose":
            put(board, loose())
        else:
            assert run(board) == 0
    image = (tmp_path / "flash.img").read_bytes()
    version(tree, 2)
    new = wanted()
    monkeypatch.setattr(pack, "packed", lambda *_: new)  # built once
    def cut(write):
        """What starts after the power was lost at this write: old, new; whole: the run came to its end."""
        (tmp_path / "flash.img").write_bytes(image)
        try:
            with VmBoard(tmp_path, cut_write=write) as board:
                run(board)
            return "whole"
        except Refused:
            told = powered_up(tmp_path)
            assert "Traceback" not in told
            return {"halfstop 11 pico_tft" in told: "old", "halfstop 22 pico_tft" in told: "new"}.get(True, told)

    chance, n, seen = random.Random(3), 1, []
    while "whole" not in seen:
        last, n = n, n + chance.randint(4, 20)
        seen.append(cut(n))
        if chance.randrange(6) == 0:
            with VmBoard(tmp_path) as board:
                assert run(board) == 0
                assert {**board.files(), "halfstop_old.mpy": 0} == {**new, "halfstop_old.mpy": 0}
    seen += [cut(write) for write in range(last + 1, n)]  # the steps in which the one takes the other's place
    after = {"new"} if before == "loose" else set()  # the archive's last write is the rename; loose files go after it
    assert set(seen) == {"old", "whole"} | after


def test_loose_files_give_way_to_the_archive(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        put(board, loose() | {"shows/one/show.json": b"mine"})
        port = link.connect(board.port)
        assert link.who(port).board == "pico_tft"
        port.close()
        assert flash.main(["--port", board.port]) == 0
        assert board.files() == wanted() | {"shows/one/show.json": b"mine"}
        assert sorted(board.folders()) == ["shows", "shows/one"]


def test_where_two_versions_find_no_room_the_old_one_goes_first(tree, tmp_path, capsys):
    """A board that cannot have both starts nothing while the new one is on its way, and says so."""
    (tree / "firmware/big.bin").write_bytes(random.Random(0).randbytes(50_000))
    with VmBoard(tmp_path, blocks=40) as board:
        put(board, loose())
        board.cut_after = board.heard + 60_000
        with pytest.raises(Refused, match="the board went away"):
            run(board)
        assert "the old one goes first" in told(capsys)
    with VmBoard(tmp_path, blocks=40) as board, serial.Serial(board.port, timeout=5) as port:
        said = port.read_until(b">>>").decode()
        assert "the firmware on the board is missing" in said and "halfstop flash" in said
    for byte in (1, 2):
        (tree / "firmware/big.bin").write_bytes(random.Random(byte).randbytes(80_000))
        with VmBoard(tmp_path, blocks=40) as board:
            assert run(board) == 0
            assert board.files() == wanted()


def test_too_small_a_flash_is_refused_before_any_change(tree, tmp_path):
    with VmBoard(tmp_path, blocks=7) as board:
        with pytest.raises(Refused, match=r"[\d,]+ bytes more are needed than it can give.*Nothing was changed"):
            run(board)
        assert board.files() == {}


def test_flash_that_fills_in_mid_copy_is_told(tree, tmp_path, monkeypatch):
    monkeypatch.setattr(flash, "check", lambda *_: True)
    with VmBoard(tmp_path, blocks=6) as board, pytest.raises(Refused, match="flash is full.*goes on where"):
        run(board)


def test_a_foreign_main_is_kept_unless_told(tree, tmp_path, capsys):
    with VmBoard(tmp_path) as board:
        port = link.connect(board.port)
        port.exec("f = open('main.py', 'w')\nf.write('print(42)')\nf.close()")
        port.close()
        with pytest.raises(Refused, match="main.py that is not Halfstop's"):
            run(board)
        assert board.files() == {"main.py": b"print(42)"}
        assert run(board, "--replace") == 0


def test_firmware_that_fails_is_quoted(tree, tmp_path):
    (tree / "firmware/small.py").write_text("1 / 0\n")
    said = "(?s)but it crashed.*ZeroDivisionError.*reset button"
    with VmBoard(tmp_path) as board, pytest.raises(Refused, match=said):
        run(board, "--wait", "20")  # as long as a busy computer may take: a crash ends the waiting


def test_a_crash_after_the_hello_is_no_success(tree, tmp_path):
    (tree / "firmware/main.py").write_text(MAIN + "    import time; time.sleep(0.2); {}['lamp']\n")
    with VmBoard(tmp_path) as board, pytest.raises(Refused, match="(?s)but it crashed.*KeyError: lamp"):
        run(board)


def test_a_hello_of_another_board_is_none(tree, tmp_path):
    (tree / "firmware/main.py").write_text("def run():\n    print('halfstop 1 pico_oled')\n")
    with VmBoard(tmp_path) as board, pytest.raises(Refused, match="(?s)no hello came within 1 s.*pico_oled"):
        run(board, "--wait", "1")


@pytest.mark.parametrize("fakes, asked, said", [
    ({}, "pico2_tft", "pico2_tft is for the rp2350, but a rp2040 is plugged in"),
    ({}, None, "can be more than one board; say which: --board pico_tft or pico_oled"),
    ({}, "toaster", "no board called 'toaster'"),
    ({"machine": "Arbitrary thing with SAMD21"}, None, "runs on RP2040, RP2350 and ESP32-S3"),
    ({"version": (1, 19, 1)}, "pico_tft", r"is 1\.19\.1; Halfstop needs 1\.24 or newer"),
    ({"name": "circuitpython"}, "pico_tft", "runs circuitpython, not MicroPython"),
    ({"mpy": 0x0B05}, "pico_tft", r"writes \.mpy version 6, the board's MicroPython reads 5"),
])
def test_what_does_not_fit_is_refused(tree, tmp_path, capsys, fakes, asked, said):
    with VmBoard(tmp_path, **fakes) as board:
        with pytest.raises(Refused, match=said):
            flash.main(["--port", board.port, *(["--board", asked] if asked else [])])
        assert board.files() == {}


@pytest.mark.parametrize("machine, board", [
    ("Raspberry Pi Pico2 with RP2350", "pico2_tft"), ("Raspberry Pi Pico 2 W with RP2350", "pico2_w_tft"),
    ("an ESP32S3", "s3_tft")])
def test_the_chip_tells_the_board(machine, board):
    """Names: MICROPY_HW_BOARD_NAME of MicroPython's ports/rp2/boards."""
    there = link.Who(("micropython", (1, 28, 0), machine, 0x1F06, 4096, 0, "", ""))
    chosen = pack.choose(there, None).NAME
    assert chosen == board


def test_board_txt_tells_the_board():
    there = link.Who(("micropython", (1, 28, 0), "with RP2040", 0x1306, 4096, 0, "", "pico_oled"))
    assert there.arch == "armv6m"
    assert pack.choose(there, None).NAME == "pico_oled"


@pytest.mark.parametrize("machine, timer", [("Invented with RP2040", -1), ("Made up with ESP32S3", 2)])
def test_the_watchdog_is_fed_while_we_talk(monkeypatch, machine, timer):
    """The code that is sent to a board whose app was interrupted, run here against a made-up chip."""
    done = []

    class Chip:
        class WDT:
            def __init__(self, timeout):
                done.append(("dog", timeout))

            def feed(self):
                done.append("fed")

        class Timer:
            def __init__(self, number):
                done.append(("timer", number))

            def init(self, period, callback):
                assert period < 2000, "the app's watchdog bites after 2 s"
                callback(self)

    monkeypatch.setitem(sys.modules, "machine", Chip)
    monkeypatch.setattr(sys.implementation, "_machine", machine, raising=False)
    exec(link.KEEP_AWAKE, {})
    assert done == [("dog", 8000), ("timer", timer), "fed"]


def whole_blocks(board, made):
    """Blocks that it takes, packed, on a littlefs as the RP2 port sets it up (extmod/vfs_lfsx.c; its _boot.py)."""
    fs = littlefs.LittleFS(block_size=4096, block_count=352, read_size=32, prog_size=256, cache_size=1024,
                           lookahead_size=32)
    empty = fs.used_block_count
    del made["main.py"]
    packed = archive.make(pack.reader(), board.NAME, made, pack.seldom(board))
    for path, data in {"main.py": pack.MAIN, pack.FILE: packed}.items():
        with fs.open(path, "wb") as file:
            file.write(data)
    return fs.used_block_count - empty


@pytest.mark.parametrize("name", flash.boards.NAMES)
def test_every_board_s_files_compile_for_its_chip(name):
    """.mpy header (MicroPython docs, "MicroPython .mpy files"): M, version, arch << 2 | sub-version, small int bits."""
    board = flash.boards.load(name)
    arch = pack.ARCH[board.CHIP]
    made = pack.build(board, arch)
    heads = {data[:3] for path, data in made.items() if path.endswith(".mpy")}
    assert {head[0] for head in heads} == {ord("M")} and {head[1] for head in heads} == {6}
    assert {head[2] >> 2 & 0x1F for head in heads} == {0, link.Who.ARCHES.index(arch)}
    family = pack.FAMILY[board.CHIP]
    assert made["boards/board.txt"] == name.encode()
    # A Pico's 352 blocks are few; the others have twice as many and more, and code with its full names.
    assert whole_blocks(board, made) <= (archive.BLOCKS if board.FLASH_BLOCKS == 352 else 96)
    assert {f"hal/{family}/make.mpy", f"hal/panels/{board.PANEL['driver']}.mpy", f"boards/{name}.mpy"} <= set(made)
    others = [f"hal/{other}/" for other in set(pack.FAMILY.values()) - {family}]
    assert not any(path.startswith(("sim/", "host/", "tests/", *others)) for path in made)


def test_a_silent_port(monkeypatch, tmp_path):
    monkeypatch.setattr(link, "PATIENCE", 0.4)
    with VmBoard(tmp_path) as board:
        board._child.send_signal(19)  # stopped: the port is there, nobody answers
        with pytest.raises(Refused, match="(?s)MicroPython does not answer there.*BOOTSEL.*esptool"):
            link.connect(board.port)


def test_a_port_in_use(tmp_path):
    busy = pytest.raises(Refused, match="in use by another program")
    with VmBoard(tmp_path) as board, serial.serial_for_url(board.port, exclusive=True), busy:
        link.connect(board.port)


def test_no_such_port():
    with pytest.raises(Refused, match="there is no port /dev/ttyNOWHERE"):
        link.connect("/dev/ttyNOWHERE")


class Port:
    def __init__(self, device, vid):
        self.device, self.vid = device, vid

    def __lt__(self, other):
        return self.device < other.device


@pytest.mark.parametrize("found, said", [
    ([], "no board found"), ([Port("/dev/ttyS0", None)], "(?s)no board found.*BOOTSEL"),
    ([Port("/dev/a", 0x2E8A), Port("/dev/b", 0x303A)], "(?s)choose one:.*--port /dev/a.*--port /dev/b"),
])
def test_choosing_a_port(monkeypatch, found, said):
    monkeypatch.setattr(link.serial.tools.list_ports, "comports", lambda: found)
    with pytest.raises(Refused, match=said):
        link.choose_port()


def test_the_one_board_is_taken(monkeypatch):
    found = [Port("/dev/x", 0x2E8A), Port("/dev/y", 1)]
    monkeypatch.setattr(link.serial.tools.list_ports, "comports", lambda: found)
    assert link.choose_port() == "/dev/x"


def carry(server, path):
    """One TCP client to the pty and back, until either end closes."""
    client = server.accept()[0]
    client.settimeout(0.02)
    with client, serial.serial_for_url(path, timeout=0) as there:
        while True:
            try:
                data = client.recv(4096)
                if not data:
                    return
                there.write(data)
            except TimeoutError:
                pass
            client.sendall(there.read(there.in_waiting))


def test_over_a_socket(tree, tmp_path, capsys):
    (tree / "firmware/big.py").unlink()
    with VmBoard(tmp_path) as board, socket.create_server(("127.0.0.1", 0)) as server:
        threading.Thread(target=carry, args=(server, board.port), daemon=True).start()
        where = f"socket://127.0.0.1:{server.getsockname()[1]}"
        assert flash.main(["--port", where, "--board", "pico_tft"]) == 0
        assert told(capsys).endswith("halfstop 9.8.7 runs on pico_tft\n")


def test_real_modules_run_on_the_vm(tmp_path):
    """mpy-cross's output for the VM's own chip: every module of firmware/ but those that start it imports there, in
    240 KB of 64-bit words."""
    names = []
    for name, path in pack.modules(flash.boards.load("pico_tft")).items():
        if name.startswith("firmware/") and path.suffix == ".py":
            made = tmp_path / (name[:-3] + ".mpy")
            made.parent.mkdir(parents=True, exist_ok=True)
            made.write_bytes(pack.compile_one(name, path, "x64"))
            names.append(name[:-3].replace("/__init__", "").replace("/", "."))
    # Each with all it needs, and then all forgotten: the device never holds everything at once either.
    code = "import gc, sys\nfor name in %r:\n    __import__(name)\n    sys.modules.clear()\n    gc.collect()\n" % (
        [name for name in names if name not in ("firmware.main", "firmware.start")],)
    vm = [VM, "-X", "heapsize=240k", "-c", code + f"print({len(names)})"]
    done = subprocess.run(vm, cwd=tmp_path, capture_output=True, text=True)
    assert done.stdout.strip() == str(len(names)), done.stderr
    assert pathlib.Path(tmp_path / "firmware/app.mpy").exists()


def test_a_file_that_did_not_come_over_whole_is_named(tree, tmp_path, monkeypatch):
    """The board says its SHA-256 once more; what differs is not started."""
    write = remote.write

    def spoilt(port, path, data, show, at=0):
        write(port, path, data[:-1] + b"x" if path == pack.NEW else data, show, at)

    monkeypatch.setattr(remote, "write", spoilt)
    with VmBoard(tmp_path) as board:
        with pytest.raises(Refused, match="after copying, these differ on the board: " + pack.NEW):
            run(board)
        assert pack.FILE not in board.files()


def test_the_architecture_of_each_chip():
    """Source: MicroPython's documentation of .mpy files and mpy-cross: RP2040 is a Cortex-M0+ (armv6m), RP2350 a
    Cortex-M33 with a single-precision unit (armv7emsp), ESP32-S3 an Xtensa LX7 with windows (xtensawin)."""
    assert pack.ARCH == {"rp2040": "armv6m", "rp2350": "armv7emsp", "esp32s3": "xtensawin"}


def test_of_twins_the_chips_get_the_one_in_machine_code():
    board = flash.boards.load("pico_tft")
    shipped = pack.shipped(board)
    assert "firmware/stage/tick_loops_viper.py" in shipped and "firmware/stage/tick_loops.py" not in shipped
    fallbacks = set(pack.modules(board)) - set(shipped)
    asked = {name.replace(".", "/") + ".py" for path in shipped.values() if path.suffix == ".py"
             for name in pack._needed(path)}
    assert fallbacks and not fallbacks & asked
