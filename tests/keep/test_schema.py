"""The page firmware/show/SCHEMA.md against what the firmware writes, and the host's check against the page.

JSON: RFC 8259. The ranges are the page's own; the firmware's limits are read from its code.
"""

import copy
import json
import pathlib
import re

import pytest

from firmware import feed_rdm_begin
from firmware.light import curves
from firmware.show import (
    captures,
    device_settings,
    effect_settings,
    feed_settings,
    file_format,
    file_store,
    groups,
    looks_edit,
    looks_store,
    meter_readings,
    network_settings,
    personality_build,
    rig,
    rig_edit,
    running_order,
)
from firmware.show.fault_log import FaultLog
from firmware.show.file_format import seal
from firmware.show.fixture_light import LIMITS
from firmware.show.look_record import SOFT
from firmware.show.shelf import Shelf
from firmware.stage.stage import Stage
from host import Refused, check, looks_log, schema
from sim.disk import MemoryDisk

ROOT = pathlib.Path(__file__).parents[2]
RULES = schema.load()


@pytest.fixture(scope="module")
def files():
    """{path: bytes} of a device on which everything that can be kept was kept, by the firmware; the looks as the host
    speaks of them."""
    disk = MemoryDisk()
    shelf = Shelf(disk)
    show = shelf.open()
    shelf.set("dark", True)
    device_settings.save(disk, device_settings.defaults())
    network_settings.save(disk, {"on": 1, "first": 0, "wifi": "Studio", "password": "", "universe": 63999,
                                 "universe2": 63998, "out": 0, "out2": 2, "priority": 200, "own": 1,
                                 "own_password": "lumenmeter"})
    file_store.save(disk, feed_rdm_begin.PATH, {"label": "Stage left"})
    lamp = personality_build.build(
        "heron-2", "Heron 2", [("level", 0, 1, 0, 1, 0, 0), ("red", 2, -1, 0, 1, 0, 0), ("mint", 3, -1, 0, 1, 0, 0),
         ("fan", 4, -1, 0, 255, 9, 1)],
        [("red", 0.69, 0.3, 1.0), ("mint", 0.35, 0.5, 2.0)])
    show.rig.add(lamp, "Heron")
    key = show.rig.add("tint16", "Key")
    rig_edit.trim(show.rig, key, curve="square", strike=1200, lag=80, free=1, rdm=["7FF0:00000010", 2],
                  white=[[0, 2900, 100], [65535, 6100, -200]],
                  place="left", watts=90, gang=3, most=80)
    rig_edit.trim(show.rig, key, set=[key.address, "tint16"])
    rig_edit.trim(show.rig, show.rig.add("dim", "Lamp"), curve=[[20000, 9000], [65535, 65535]])
    show.save_rig()
    stage = Stage(show)
    stage.dial("Heron", level=0.5, fan=77)
    stage.store("Day")
    light = stage.present()
    show.looks.store("Grabbed", {**light, 0: [[100, 1, 2, 3], [300, 255]]})
    looks_edit.set_fade(show.looks, "Day", 2000 + SOFT)
    running = running_order.RunningOrder(show)
    running.add(1)
    groups.put(show, "All", [1, 2, 3])
    feed_settings.save(show, {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {2: 1}})
    captures.new(disk)
    captures.save(disk, 1, captures.about(disk, 1)[0])
    effect_settings.save(show, [effect_settings.new(kind, [1, 2]) for kind in effect_settings.NAMES])
    meter_readings.Readings(show).add(key, 412.5, 65536, 5600, -0.002, 9800, stage.light(key))
    FaultLog(disk).add(1000, "rig.json is damaged", "disk")
    files, faults = looks_log.as_json({path: data for path, data in disk.files.items() if path[-1] not in "~+"})
    assert faults == []
    return files


def test_what_the_firmware_writes_is_as_the_page_says(files):
    assert list(check.problems(files)) == []
    assert {check.on_device(f) for f in files} == set(files)


def test_the_page_has_no_key_that_nobody_writes(files, monkeypatch):
    """Every rule of the page is met while those files are walked."""
    met, wrong = set(), schema.Rule.wrong
    monkeypatch.setattr(schema.Rule, "wrong", lambda rule, value: met.add(rule) or wrong(rule, value))
    rules = schema.load()
    for path, data in files.items():
        assert list(schema.file_problems(path, data, rules)) == []
    unmet = [(pattern, key) for pattern, table in rules.items() for key, rule in table.items() if rule not in met]
    assert unmet == []


def test_the_page_names_every_module_that_saves():
    """A new kind of file is to be written down here first."""
    found = {p.relative_to(ROOT / "firmware").as_posix() for p in (ROOT / "firmware").rglob("*.py")
             if re.search(r"file_store\.save\(|\bseal\(", p.read_text())}
    named = set(re.findall(r"[Ww]ritten by\s+`([^`]+)`", schema.PAGE.read_text()))
    assert found - {"show/file_format.py", "show/file_store.py", "show/file_repair.py", "show/file_check.py"} == named


def test_the_page_is_of_the_present_schema():
    assert f"schema {file_format.SCHEMA}\n" in schema.PAGE.read_text().splitlines(keepends=True)[0]


@pytest.mark.parametrize(
    ("pattern", "key", "low", "high"),
    [
        ("shows/IDENT/rig.json", "fixtures", 0, rig.Rig.most),
        ("shows/IDENT/rig.json", "fixtures[].name", 1, rig_edit.NAME_MOST),
        ("shows/IDENT/rig.json", "fixtures[].address", 1, rig.UNIVERSES * rig.SLOTS),
        ("shows/IDENT/looks/N.json", "name", 1, looks_store.NAME_MOST),
        ("shows/IDENT/order.json", "looks", 0, 2 * looks_store.MOST),
        *(("shows/IDENT/looks/N.json", f"lights[][{n + 1}]", *limits) for n, limits in enumerate(LIMITS)),
        ("shows/IDENT/run.json", "steps", 0, running_order.MOST),
        ("shows/IDENT/run.json", "steps[][4]", 0, running_order.LONGEST_MS),
        ("shows/IDENT/groups.json", "groups", 0, groups.MOST),
        ("shows/IDENT/effects.json", "effects", 0, effect_settings.MOST),
        ("shows/IDENT/effects.json", "effects[][4]", 1, effect_settings.SEEDS),
    ],
)
def test_ranges_are_those_of_the_code(pattern, key, low, high):
    rule = RULES[pattern][key]
    assert (rule.low, rule.high) == (low, high)


def test_words_of_the_page_are_those_of_the_code():
    page = schema.PAGE.read_text()
    with pytest.raises(ValueError) as error:
        curves.table("no such")
    for name in re.findall(r"\w+", str(error.value).split("there are")[1]):
        assert name in page


def leaves(value, place=""):
    """(path as a list, value) of everything in a JSON value."""
    yield [], value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from (([key, *path], leaf) for path, leaf in leaves(item))


def put(obj, path, value):
    """A copy of a JSON value with something else at a path."""
    out = copy.deepcopy(obj)
    at = out
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return out


def place_of(path):
    return "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in path).lstrip(".")


def test_every_wrong_value_is_named(files):
    """Each value of each file is made wrong in turn: the check says that file and that key, with its rule."""
    tried = 0
    for name, data in files.items():
        if name.startswith("faults"):
            continue
        whole = json.loads(data)
        del whole["crc"]
        for path, _value in leaves(whole):
            if path and path != ["schema"]:
                bad = seal(put(whole, path, None), file_format.SCHEMA)
                found = list(check.problems({name: bad}))
                assert (name, place_of(path)) in [problem[:2] for problem in found], (name, path)
                tried += 1
    assert tried > 300


@pytest.mark.parametrize(
    ("name", "path", "value", "said"),
    [
        ("shows/show-1/looks/1.json", ["lights", 0, 1], 65537, "lights[0][1] = 65537 must be 0 to 65536 (1/65536)"),
        ("shows/show-1/looks/1.json", ["fade_ms"], "2 s", "fade_ms = '2 s' must be a whole number, not text"),
        ("shows/show-1/looks/1.json", ["fade_ms"], 1.5, "fade_ms = 1.5 must be a whole number, not a number with"),
        ("shows/show-1/looks/1.json", ["lights", 0, 7, "fan"], -1, "lights[0][7].fan = -1 must be 0 to 65535"),
        ("shows/show-1/looks/1.json", ["colour"], 5, "colour = 5 is not in the schema"),
        ("shows/show-1/rig.json", ["fixtures", 1, "name"], "x" * 25, "must be 1 to 24 letters"),
        ("shows/show-1/rig.json", ["fixtures", 1, "address"], 2, "Clash: Heron holds 1-5"),
        ("shows/show-1/rig.json", ["fixtures", 1, "address"], 510, "end at 515: 512 is the last"),
        ("shows/show-1/rig.json", ["fixtures", 1, "personality"], "nothing", "No personality called nothing"),
        ("shows/show-1/effects.json", ["effects", 0, 0], "Rain", "is no effect of a known kind"),
        ("shows/show-1/order.json", ["schema"], 99, "schema = 99 is of a newer version; this one knows 1"),
    ],
)
def test_file_key_value_rule(files, name, path, value, said):
    whole = json.loads(files[name])
    del whole["crc"]
    found = [check.line(*problem) for problem in check.problems({name: bytes(seal(put(whole, path, value), 1))})]
    assert len(found) == 1 and found[0].startswith(name + ": ") and said in found[0]


def test_a_missing_key_is_named(files):
    whole = json.loads(files["shows/show-1/looks/1.json"])
    del whole["crc"], whole["name"]
    found = list(check.problems({"looks/1.json": bytes(seal(whole, 1))}))
    assert found == [("looks/1.json", "name", None, "is missing")]


def write(folder, files):
    for path, data in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)


def test_the_command_on_folders(files, tmp_path, capsys):
    write(tmp_path, files)
    assert check.main([str(tmp_path)]) == 0
    assert check.main([str(tmp_path / "shows/show-1")]) == 0
    (tmp_path / "captures").mkdir(exist_ok=True)
    (tmp_path / "captures/1").write_bytes(b"not json")
    (tmp_path / "shows/show-1/rig.json.bad").write_bytes(b"set aside")
    assert check.main([str(tmp_path)]) == 0
    look = tmp_path / "shows/show-1/looks/1.json"
    look.write_bytes(look.read_bytes().replace(b"Day", b"Dax"))
    capsys.readouterr()
    assert check.main([str(tmp_path)]) == 1
    said = capsys.readouterr().out
    assert "shows/show-1/looks/1.json: is damaged (wrong CRC); if it was changed by hand: --seal\n" in said


def test_a_file_changed_by_hand_is_sealed(files, tmp_path, capsys):
    write(tmp_path, files)
    look = tmp_path / "shows/show-1/looks/1.json"
    by_hand = json.loads(look.read_text())
    by_hand["name"] = "Küche"
    look.write_text(json.dumps(by_hand, indent=2))
    assert check.main(["--seal", str(tmp_path)]) == 0
    assert "shows/show-1/looks/1.json: sealed" in capsys.readouterr().out
    disk = MemoryDisk({"a.json": look.read_bytes()})
    obj, fault = file_store.load(disk, "a.json")
    assert obj["name"] == "Küche" and fault is None


@pytest.mark.parametrize(("name", "words"), [("none", "no such folder"), ("empty", "no show files in it")])
def test_refusals(tmp_path, name, words):
    (tmp_path / "empty").mkdir()
    with pytest.raises(Refused, match=words):
        check.main([str(tmp_path / name)])
