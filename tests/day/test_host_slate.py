"""The slate on the maker's computer: CSV and a page to print."""

import csv
import zipfile

from firmware.show import rig_edit
from host import slate as verb
from sim import Bench, demo
from sim.disk import FolderDisk


def logged(folder):
    """The demo show in a folder, with three takes logged by the device."""
    disk = FolderDisk(str(folder))
    demo.write(disk)
    with Bench(show=None, disk=disk) as b:
        rig_edit.rename(b.app.show.rig, b.app.show.rig.find("Back"), "=1+1 <b>")
        b.app.show.save_rig()
        b.app.remembered["slate"] = [7, 2, 1, 3]
        b.app.set_setting("date", 9825)
        b.app.open("slate", True)
        b.press()
        b.app.stage.dial("Key", level=0.125, cct=5600)
        b.run(0.2)
        b.press()
    return folder / "shows/demo"


def test_csv_and_page(tmp_path, capsys):
    show = logged(tmp_path)
    assert verb.main([str(show), "--out", str(tmp_path / "out")]) == 0
    assert "note" not in capsys.readouterr().out
    with (tmp_path / "out/demo-slate.csv").open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [(r["scene"], r["set-up"], r["take"], r["look"]) for r in rows] == [("7B", "1", n, "Evening") for n in "345"]
    assert rows[0]["date"] == "24 Nov 2026"
    assert [r["Key"] for r in rows] == ["50.0 % 3200 K"] * 2 + ["12.5 % 5600 K"]
    assert "'=1+1 <b>" in rows[0]
    html = (tmp_path / "out/demo-slate.html").read_text()
    assert html.count("<tr>") == 4 and html.count('class="light"') == 2
    assert "=1+1 &lt;b&gt;" in html and "<b>=1" in html


def test_from_a_backup(tmp_path):
    show = logged(tmp_path / "a")
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        for path in show.rglob("*"):
            archive.write(path, "shows/demo/" + path.relative_to(show).as_posix())
    assert verb.main([str(tmp_path / "b.zip"), "--out", str(tmp_path)]) == 0
    assert (tmp_path / "demo-slate.csv").read_text(encoding="utf-8-sig").count("7B") == 3


def test_damage_is_said(tmp_path, capsys):
    show = logged(tmp_path)
    path = show / "slate/00.log"
    data = bytearray(path.read_bytes())
    data[30] ^= 1  # in the light of the first takes
    path.write_bytes(data)
    assert verb.main([str(show), "--out", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "take 1: The light of that take is damaged" in said and "00.log is damaged" in said
