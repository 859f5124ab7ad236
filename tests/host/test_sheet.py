"""`host sheet`: what to set on each lamp, from the show's own files, as HTML and as PDF."""

import html.parser
import shutil
import subprocess
import zipfile

import pytest

from firmware.show.show import Show
from host import Refused, __main__, check, sheet
from sim.disk import FolderDisk


@pytest.fixture
def show(tmp_path):
    """A show with three lamps, one with a name that would be markup."""
    made = Show(FolderDisk(tmp_path / "shows"), "kitchen")
    made.rig.add("tint16", "Key", 101)
    made.rig.add("dim", "Lamp <l> & \"r\"", 13)
    made.rig.add("rgbw", "Strip", 301)
    made.save_rig()
    return tmp_path / "shows/kitchen"


class Table(html.parser.HTMLParser):
    """The cells of a page's table, row by row."""

    def __init__(self, text):
        super().__init__()
        self.rows = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_data(self, data):
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data.strip()


def page(folder, tmp_path, *words):
    assert __main__.main(["sheet", str(folder), "--out", str(tmp_path / "out"), "--html-only", *words]) == 0
    return (tmp_path / "out/kitchen-sheet.html").read_text()


def test_every_lamp_with_what_to_set(show, tmp_path):
    rows = Table(page(show, tmp_path)).rows
    assert rows[1] == ["", "Key", "Dimmer + CCT + green 16 bit", "6", "101", "101-106", "1 3 6 7", "", ""]
    assert rows[2] == ["", 'Lamp <l> & "r"', "Dimmer", "1", "13", "13", "1 3 4", "", ""]
    assert rows[3][3:6] == ["4", "301", "301-304"]


def test_the_cautions_are_on_it(show, tmp_path):
    text = page(show, tmp_path)
    for word in ("safety cord", "gloves", "licensed electrician", "Local codes", "never for anything that can injure",
                 "WCAG 2.3.1", "planning aids"):
        assert word in text, word


def test_positions_and_watts_from_a_table(show, tmp_path, capsys):
    (tmp_path / "x.csv").write_text('name,position,watts\nKey,"left, 2 m",200\nStrip,,45.5\nNobody,,1\n')
    rows = Table(page(show, tmp_path, "--with", str(tmp_path / "x.csv"))).rows
    assert rows[1][7:] == ["left, 2 m", "200"] and rows[3][7:] == ["", "45.5"]
    assert rows[-1][-1].startswith("245.5 W (of 2 of 3 lamps)")
    assert "no lamp is called Nobody" in capsys.readouterr().out


@pytest.mark.parametrize("text, said", [("name,watts\nKey,many\n", "line 2: watts is a number, not 'many'"),
                                        (None, "there is no such file")])
def test_a_bad_table_is_told(show, tmp_path, capsys, text, said):
    path = tmp_path / "x.csv"
    if text:
        path.write_text(text)
    assert __main__.main(["sheet", str(show), "--html-only", "--with", str(path)]) == 1
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("address, on", [(1, "1"), (2, "2"), (13, "1 3 4"), (256, "9"), (511, "1 2 3 4 5 6 7 8 9")])
def test_switches_are_the_address_in_binary(address, on):
    """Worked by hand: 13 = 1 + 4 + 8."""
    assert sheet.switches(address) == on
    assert sum(2 ** (int(n) - 1) for n in on.split()) == address


def test_from_a_backup(show, tmp_path):
    backup = tmp_path / "b.zip"
    with zipfile.ZipFile(backup, "w") as made:
        for name in ("kitchen", "garden"):
            made.write(show / "rig.json", f"shows/{name}/rig.json")
    with pytest.raises(Refused, match="holds these shows: garden, kitchen. Say which one"):
        sheet.read_show(backup)
    assert len(sheet.read_show(backup, "kitchen").rig) == 3


def test_a_backup_that_points_outside_writes_nothing_there(show, tmp_path):
    backup = tmp_path / "b.zip"
    with zipfile.ZipFile(backup, "w") as made:
        made.write(show / "rig.json", "shows/a/rig.json")
        made.writestr("shows/a/../../../../../escaped.txt", "x")
    sheet.read_show(backup)
    assert not list(tmp_path.parent.glob("**/escaped.txt"))


@pytest.mark.parametrize("make, said", [
    (lambda path: None, "there is no"),
    (lambda path: path.write_text("no zip"), "neither a show's folder nor a backup"),
    (lambda path: path.mkdir(), "no rig.json"),
])
def test_what_is_no_show(tmp_path, make, said):
    make(tmp_path / "x")
    with pytest.raises(Refused, match=said):
        sheet.read_show(tmp_path / "x")


def test_without_a_browser_the_page_is_there_and_it_says_so(show, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(sheet.shutil, "which", lambda _name: None)
    assert __main__.main(["sheet", str(show), "--out", str(tmp_path)]) == 1
    assert "Open" in capsys.readouterr().err and (tmp_path / "kitchen-sheet.html").exists()


@pytest.mark.skipif(not any(map(shutil.which, sheet.BROWSERS)), reason="no Chromium here to print with")
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not installed")
def test_the_pdf_says_the_same(show, tmp_path):
    assert __main__.main(["sheet", str(show), "--out", str(tmp_path)]) == 0
    text = subprocess.run(["pdftotext", "-layout", tmp_path / "kitchen-sheet.pdf", "-"], capture_output=True, text=True,
                          check=True).stdout
    for word in ("Set-up sheet: kitchen", "Key", "101-106", 'Lamp <l> & "r"', "licensed electrician"):
        assert word in " ".join(text.split()), word


def test_two_universes_have_their_port_on_it(show, tmp_path):
    """What is set on the lamp is its address on its own cable (ANSI E1.11: 1 to 512)."""
    assert "<th>port</th>" not in page(show, tmp_path)
    two = Show(FolderDisk(show.parent), show.name)
    two.load()
    two.rig.add("rgb", "Far", 613)
    two.save_rig()
    text = page(show, tmp_path)
    rows = Table(text).rows
    assert rows[0][4:6] == ["port", "address"] and rows[1][4:6] == ["1", "101"]
    far = next(row for row in rows if "Far" in row)
    assert far[3:8] == ["3", "2", "101", "2.101-103", "1 3 6 7"]
    assert "of 1024 slots" in text and 'colspan="8"' in text
    assert check.main([str(show)]) == 0
