"""`host backup` and `host restore` against the real MicroPython VM over a pty, its files on real littlefs."""

import io
import json
import pathlib
import sys
import time
import zipfile

import pytest

from firmware.show import file_store, shelf_edit
from firmware.show.fault_log import FaultLog
from firmware.show.shelf import Shelf
from host import Refused, backup, faults, looks_log, remote, restore
from sim.disk import MemoryDisk, PowerCut
from tests.host.vm_board import VM, VmBoard, put

pytestmark = pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")


MANY = ("Boat", "Attic", "Roof", "Yard", "Hall", "Stairs")  # what has been copied is counted by files


def device(*names):
    """The files of a device with these shows: {path: bytes}."""
    disk = MemoryDisk()
    shelf = Shelf(disk)
    for name in names:
        show = shelf.open(shelf_edit.new(shelf, name))
        for n in range(8):
            show.rig.add("tint16", "Lamp %d" % n)
        show.save_rig()
        for n in range(5):
            lights = {f.uid: [n * 10000, 3200 + f.uid, 0, 0, 0, 0, {}] for f in show.rig.fixtures}
            show.looks.store("Look %d" % n, lights)
        show.looks.store("Look 0", {})
    FaultLog(disk).add(1000, "a fault", "here")
    disk.mkdir("firmware")
    disk.write("firmware/app.mpy", b"ours")
    disk.mkdir("state")
    disk.write("state/base0", b"what is on")
    disk.mkdir("captures")
    disk.write("captures/1", bytes(range(256)) * 40)
    return disk.files


def users(files):
    """Those of them that a backup holds, the looks as JSON."""
    return as_json({path: data for path, data in files.items()
                    if path[-1] != "~" and path.split("/")[0] not in ("firmware", "state", "trash")})


def as_json(files):
    out, faults = looks_log.as_json(files)
    assert faults == []
    return out


def read_zip(path):
    with zipfile.ZipFile(path) as archive:
        return {info.filename: archive.read(info) for info in archive.infolist()}


@pytest.fixture
def board(tmp_path):
    with VmBoard(tmp_path) as found:
        yield found


def back_up(board, target, *words):
    time.sleep(0.3)  # it may still be starting after the verb before
    return backup.main(["--port", board.port, *words, str(target)])


def bring(board, source, *words):
    time.sleep(0.3)
    return restore.main(["--port", board.port, *words, str(source)])


def test_a_backup_holds_every_file_of_the_user_byte_for_byte(board, tmp_path, capsys):
    files = device("Boat", "Attic")
    put(board, files)
    target = tmp_path / "day.zip"
    assert back_up(board, target) == 0
    assert read_zip(target) == users(files)
    assert "2 shows" in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.glob("day*")) == ["day.zip"]
    json.loads(read_zip(target)["shows/boat/rig.json"])


def test_only_one_show(board, tmp_path):
    put(board, device("Boat", "Attic"))
    back_up(board, tmp_path / "a.zip", "--show", "boat")
    assert {path.split("/")[1] for path in read_zip(tmp_path / "a.zip")} == {"boat"}
    with pytest.raises(Refused, match="no show roof on the board; there are: attic, boat"):
        back_up(board, tmp_path / "b.zip", "--show", "roof")


def test_a_backup_that_is_there_is_not_replaced_unasked(board, tmp_path):
    put(board, device("Boat"))
    target = tmp_path / "a.zip"
    target.write_bytes(b"precious")
    with pytest.raises(Refused, match="is there already"):
        back_up(board, target)
    assert target.read_bytes() == b"precious"
    assert back_up(board, target, "--replace") == 0


def test_an_empty_board_has_nothing_to_back_up(board, tmp_path):
    with pytest.raises(Refused, match="nothing to back up"):
        back_up(board, tmp_path / "a.zip")


def heard(tmp_path, act, cut=None):
    """Run act(board) on the board in tmp_path, its cable pulled after so many bytes: (bytes heard, refusal)."""
    with VmBoard(tmp_path) as board:
        board.cut_after = cut
        try:
            act(board)
        except Refused as refusal:
            return board.heard, str(refusal)
        return board.heard, None


def test_a_backup_that_broke_off_goes_on_where_it_was(tmp_path):
    files = device(*MANY)
    with VmBoard(tmp_path) as board:
        put(board, files)
    whole, _ = heard(tmp_path, lambda board: back_up(board, tmp_path / "whole.zip"))
    target = tmp_path / "a.zip"
    _, said = heard(tmp_path, lambda board: back_up(board, target), whole * 2 // 3)
    assert "the board went away" in said and "it goes on where it was" in said
    assert not target.exists() and list((tmp_path / "a.zip.part").iterdir())
    rest, said = heard(tmp_path, lambda board: back_up(board, target))
    assert said is None and rest < whole * 0.9
    assert read_zip(target) == users(files)
    assert not (tmp_path / "a.zip.part").exists()


def test_what_waits_and_is_damaged_is_fetched_again(board, tmp_path):
    files = device("Boat")
    put(board, files)
    part = backup.Part(tmp_path / "a.zip")
    part.put(remote.digest(files["kit.json"] if "kit.json" in files else files["shelf.json"]), b"damaged")
    back_up(board, tmp_path / "a.zip")
    assert read_zip(tmp_path / "a.zip") == users(files)


def make_zip(path, files):
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return path


def shows(files):
    return as_json({path: data for path, data in files.items() if path.startswith("shows/") and path[-1] != "~"})


def test_restore_onto_an_empty_board(board, tmp_path, capsys):
    files = users(device("Boat", "Attic"))
    source = make_zip(tmp_path / "a.zip", files)
    assert bring(board, source, "--settings") == 0
    assert shows(board.files()) == shows(files)
    assert board.files()["shelf.json"] == files["shelf.json"]
    assert "2 shows brought to the board: boat, attic" in capsys.readouterr().out
    before = board.files()
    assert bring(board, source) == 0
    assert "boat: is on the board as in the backup" in capsys.readouterr().out
    assert board.files() == before


def changed(files):
    """The same device after somebody went on working: another look."""
    disk = MemoryDisk(files)
    show = Shelf(disk).open("boat")
    show.looks.load()
    show.looks.store("New since", {})
    return disk.files


@pytest.mark.parametrize(("answers", "kept", "both"), [
    (None, True, False), ("l", True, False), ("what\nb", True, True), ("r", False, False)])
def test_a_show_that_is_not_as_in_the_backup_is_not_replaced_unasked(
        board, tmp_path, monkeypatch, capsys, answers, kept, both):
    old = users(device("Boat"))
    new = changed(old)
    put(board, new)
    stdin = io.StringIO((answers or "") + "\n")
    stdin.isatty = lambda: answers is not None
    monkeypatch.setattr(sys, "stdin", stdin)
    assert bring(board, make_zip(tmp_path / "a.zip", old)) == 0
    there = shows(board.files())
    boat = {path: data for path, data in there.items() if path.startswith("shows/boat/")}
    assert boat == shows(new if kept else old)
    assert any(path.startswith("shows/boat-2/") for path in there) == both
    assert "otherwise than the backup" in capsys.readouterr().out


def test_yes_replaces_without_asking(board, tmp_path):
    old = users(device("Boat"))
    put(board, changed(old))
    bring(board, make_zip(tmp_path / "a.zip", old), "--yes")
    assert shows(board.files()) == shows(old)


def test_a_restore_that_broke_off_goes_on_where_it_was(tmp_path):
    old = users(device(*MANY))
    source = make_zip(tmp_path / "a.zip", old)
    (tmp_path / "w").mkdir()
    whole, _ = heard(tmp_path / "w", lambda board: bring(board, source))
    for share in (0.3, 0.6, 0.9, 0.97):
        folder = tmp_path / str(share)
        folder.mkdir()
        _, said = heard(folder, lambda board: bring(board, source), int(whole * share))
        assert "it goes on where it was" in said
        rest, said = heard(folder, lambda board: bring(board, source))
        assert said is None and rest < whole * (1.35 - share)
        with VmBoard(folder) as board:
            assert shows(board.files()) == shows(old)


def test_a_cut_in_the_last_moves_leaves_the_old_show_or_the_new():
    """The moves of put_in_place on the RAM disk, cut at each; then the firmware starts."""
    old = device("Boat")
    new = changed(old)
    for n in range(1, 6):
        disk = MemoryDisk(old)
        disk.mkdir("trash")
        disk.mkdir("restore")
        disk.mkdir("restore/boat")
        disk.mkdir("restore/boat/looks")
        for path, data in shows(new).items():
            disk.write("restore" + path[5:], data)
        disk.cut_after(n)
        try:
            disk.rename("restore/boat", "shows/boat=")
            disk.rename("shows/boat", "trash/boat")
            disk.rename("shows/boat=", "shows/boat")
        except PowerCut:
            pass
        disk.power_up()
        shelf = Shelf(disk)
        show = shelf.open()
        show.looks.load()
        assert shelf.idents() == ["boat"] and shelf.faults == []
        assert ("New since" in show.looks.names()) == (n > 1)


@pytest.mark.parametrize(("spoil", "words"), [
    (lambda files: files.pop("shows/boat/rig.json") and files.update({"shows/boat/rig.json": b"{}"}), "is not whole"),
    (lambda files: files.clear(), "has no show"),
])
def test_a_spoilt_backup_changes_nothing(board, tmp_path, spoil, words):
    files = users(device("Boat"))
    spoil(files)
    with pytest.raises(Refused, match=words):
        bring(board, make_zip(tmp_path / "a.zip", files))
    assert board.files() == {}


def spoilt(path, files, change):
    """A zip of files in which change(its bytes, where an entry's head and its line of the directory begin) changed a
    thing. APPNOTE.TXT 6.3.10 has the fields (from memory)."""
    data = bytearray(make_zip(path, files).read_bytes())
    change(data, data.find(b"PK\3\4"), data.find(b"PK\1\2"))
    path.write_bytes(data)
    return path


def _encrypt(data, head, line):
    data[head + 6] |= 1
    data[line + 8] |= 1


def _method(data, head, line):
    data[head + 8] = data[line + 10] = 99


def _size(data, _head, line):
    data[line + 24:line + 28] = (400_000_000).to_bytes(4, "little")


def _less(data, _head, line):
    data[line + 24] -= 1


@pytest.mark.parametrize(("change", "words"), [
    (_encrypt, "is encrypted"), (_method, "compression"), (_size, "would unpack to 400,"), (_less, "a.zip")])
def test_a_zip_that_is_made_to_harm_is_refused_in_words(tmp_path, change, words):
    source = spoilt(tmp_path / "a.zip", users(device("Boat")), change)
    with pytest.raises(Refused, match=words):
        restore.load(source, ())


def test_what_says_that_it_is_small_is_read_no_further(tmp_path):
    """An entry of 400 MB of zeros, 400 KB in the zip, that claims to have 1,000 bytes."""
    import tracemalloc

    source = tmp_path / "a.zip"
    with zipfile.ZipFile(source, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("shows/a/rig.json", "w") as file:
        for _ in range(400):
            file.write(bytes(1_000_000))
    data = bytearray(source.read_bytes())
    line = data.find(b"PK\1\2")
    data[line + 24:line + 28] = (1000).to_bytes(4, "little")
    source.write_bytes(data)
    tracemalloc.start()
    with pytest.raises(Refused, match="a.zip"):
        restore.load(source, ())
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


@pytest.mark.parametrize("ident", [".", "..", "evil=", "half+", "it's", 'a"b', "", "Boat", "a b", "x" * 65])
def test_shows_that_no_device_names_so_are_refused(tmp_path, ident):
    files = {path.replace("shows/boat/", f"shows/{ident}/"): data for path, data in users(device("Boat")).items()}
    with pytest.raises(Refused, match="no device makes"):
        restore.load(make_zip(tmp_path / "a.zip", files), ())


@pytest.mark.parametrize("name", ["../rig.json", "a'b", 'looks/"', ".", "looks//1.json", "a b"])
def test_files_that_no_device_names_so_are_refused(tmp_path, name):
    files = {**users(device("Boat")), "shows/boat/" + name: b"x"}
    with pytest.raises(Refused, match="no device makes"):
        restore.load(make_zip(tmp_path / "a.zip", files), ())


def test_a_file_nested_deep_is_refused(tmp_path):
    files = {**users(device("Boat")), "shows/boat/groups.json": b'{"crc":"12345678",' + b"[" * 100_000}
    with pytest.raises(Refused, match="groups.json"):
        restore.load(make_zip(tmp_path / "a.zip", files), ())


def test_a_torn_zip_is_named(board, tmp_path):
    source = make_zip(tmp_path / "a.zip", users(device("Boat")))
    data = bytearray(source.read_bytes())
    data[300] ^= 0x20
    source.write_bytes(data)
    with pytest.raises(Refused, match="a.zip"):
        bring(board, source)


def test_a_board_without_room_refuses_first(tmp_path):
    files = users(device("Boat", "Attic"))
    with VmBoard(tmp_path, blocks=14) as board:
        with pytest.raises(Refused, match="not enough room on the board"):
            bring(board, make_zip(tmp_path / "a.zip", files))
        assert board.files() == {}


def test_the_firmware_reads_what_was_restored(board, tmp_path):
    files = users(device("Boat"))
    bring(board, make_zip(tmp_path / "a.zip", files))
    shelf = Shelf(MemoryDisk(board.files()))
    show = shelf.open("boat")
    show.looks.load()
    assert len(show.rig) == 8 and len(show.looks) == 5 and shelf.faults == []
    assert file_store.read(shelf.disk, "shows/boat/show.json")[0]["name"] == "Boat"
    assert pathlib.Path(tmp_path / "a.zip").exists()


def test_the_log_of_faults_from_the_board_a_backup_and_a_folder(board, tmp_path, capsys):
    files = users(device("Boat"))
    put(board, files)
    time.sleep(0.3)
    assert faults.main(["--port", board.port]) == 0
    make_zip(tmp_path / "a.zip", files)
    assert faults.main([str(tmp_path / "a.zip")]) == 0
    (tmp_path / "none").mkdir()
    assert faults.main([str(tmp_path / "none")]) == 0
    line = "   0:00:01  a fault  (here)\n"
    assert capsys.readouterr().out.endswith(line + line + "no faults logged\n")


def test_a_zip_that_does_not_read_back_is_no_backup(board, tmp_path, monkeypatch):
    put(board, device("Boat"))
    write = zipfile.ZipFile.writestr

    def spoilt(archive, info, data):
        write(archive, info, b"x" + data[1:] if info.filename == "kit.json" or "rig" in info.filename else data)

    monkeypatch.setattr(zipfile.ZipFile, "writestr", spoilt)
    with pytest.raises(Refused, match="does not read back as written: .*rig.json"):
        back_up(board, tmp_path / "a.zip")
    assert not (tmp_path / "a.zip").exists()


def test_the_old_show_goes_only_when_the_new_one_stands(monkeypatch):
    """In the order of the moves: after each of them there is a whole show."""
    moved = []
    monkeypatch.setattr(remote, "make_folders", lambda _port, _paths: None)
    monkeypatch.setattr(remote, "names", lambda _port, folder: ["boat"] if folder == "shows" else [])
    monkeypatch.setattr(remote, "move", lambda _port, old, new: moved.append((old, new)))
    restore.put_in_place(None, "boat")
    assert moved == [("restore/boat", "shows/boat="), ("shows/boat", "trash/boat"), ("shows/boat=", "shows/boat")]
