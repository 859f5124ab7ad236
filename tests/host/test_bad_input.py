"""Every command on what is missing, of the wrong kind, not allowed: one line that says what, where and what to do."""

import os
import pathlib

import pytest

from host import __main__, link
from sim import demo
from sim.disk import FolderDisk


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with a show, a file and an empty folder."""
    made = tmp_path_factory.mktemp("bad")
    demo.write(FolderDisk(made))
    (made / "file").write_text("words")
    (made / "folder").mkdir()
    return made


@pytest.fixture
def there(folder, monkeypatch):
    """The working folder is that one, and nothing is plugged in."""
    monkeypatch.chdir(folder)
    monkeypatch.setattr(link, "likely_ports", list)


@pytest.mark.parametrize("words, said", [
    ("backup nofolder/x.zip", "there is no folder nofolder to write it into"),
    ("backup folder", "folder is a folder; name a file in it"),
    ("backup file", "file is there already. Name another file, or add --replace."),
    ("restore none.zip", "none.zip: there is no such folder or .zip file"),
    ("restore file", "file is no backup"),
    ("restore folder", "folder has no show"),
    ("check none.zip", "none.zip: there is no such folder or .zip file"),
    ("check file", "file is no backup"),
    ("room none.zip", "none.zip: there is no such folder or .zip file"),
    ("faults none", "none: there is no such folder or .zip file"),
    ("sheet none.zip", "none.zip: there is no such folder or backup"),
    ("sheet file", "file is neither a show's folder nor a backup"),
    ("sheet shows/demo --html-only --out file", "file is a file, but files are to be written into it: name a folder"),
    ("slate shows/demo --out file", "file is a file, but files are to be written into it: name a folder"),
    ("slate none", "none: there is no such folder or backup"),
    ("import none.gdtf", "none.gdtf: there is no such file or folder"),
    ("import folder", "folder: is a folder, not a file"),
    ("import file", "file is no GDTF file"),
    ("new Name --in file", "file is a file"),
    ("flash", "no board found. Plug it in"),
    ("status", "no board found. Plug it in"),
    ("log", "no board found. Plug it in"),
    ("remove x --yes", "no board found. Plug it in"),
    ("backup", "no board found. Plug it in"),
    ("flash --port nowhere", "there is no port nowhere"),
])
def test_one_line_that_says_what_to_do(there, capsys, words, said):
    assert __main__.main(words.split()) == 1
    told = capsys.readouterr().err
    assert told.startswith(words.split()[0] + ": ") and said in told, told
    assert "Traceback" not in told and "Errno" not in told and "went away" not in told


@pytest.mark.parametrize("words", ["backup", "flash", "status", "log", "room", "faults", "new Name", "remove x --yes"])
def test_two_boards(there, capsys, monkeypatch, words):
    monkeypatch.setattr(link, "likely_ports", lambda: [("/dev/one", "RP2 board"), ("/dev/two", "ESP32 board")])
    assert __main__.main(words.split()) == 1
    assert "several boards are plugged in; choose one:\n  --port /dev/one   (RP2 board)" in capsys.readouterr().err


def refuse(number):
    """What a full disk and a foreign folder make of a write."""
    def write(self, *_args, **_options):
        raise OSError(number, os.strerror(number), str(self))

    return write


@pytest.mark.parametrize("number, said", [(28, "the disk is full"), (13, "you may not do that there"),
                                          (30, "that disk can only be read")])
@pytest.mark.parametrize("words", ["sheet shows/demo --html-only", "slate shows/demo"])
def test_a_full_disk_and_a_foreign_folder(there, capsys, monkeypatch, number, said, words):
    monkeypatch.setattr(pathlib.Path, "write_text", refuse(number))
    assert __main__.main(words.split()) == 1
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("verb", __main__.verbs())
def test_every_verb_states_its_exit_statuses(capsys, verb):
    with pytest.raises(SystemExit):
        __main__.main([verb, "--help"])
    said = " ".join(capsys.readouterr().out.split())
    assert said.startswith(f"usage: halfstop {verb} ") and "Exit status: 0 " in said
