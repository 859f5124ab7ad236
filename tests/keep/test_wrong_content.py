"""Files whose checksum is right and whose content is not: the device starts and names them, and accepts and refuses
what the host's check does. What may stand in a file: firmware/show/SCHEMA.md, read by host/schema.py."""

import copy
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firmware.show import captures, feed_settings, file_rules, file_store, groups, meter_readings, running_order
from firmware.show.effect_settings import load as load_effects
from firmware.show.file_format import SCHEMA, seal
from firmware.show.shelf import Shelf
from host import check, schema
from sim.disk import MemoryDisk
from sim.vm import Bare, Panel
from tests.keep.test_schema import files, leaves, put  # noqa: F401  (files is a fixture)

OTHERS = ("faults", "looks/", "order.json")  # the log of faults, and the looks' own files
SHOW = "shows/show-1/"
KINDS = {0: [int], 1: [str], 2: [bool], 3: [dict], 4: [list], 5: [list], 6: [str, list]}


def rows(rule, key):
    """{key: (types, low, high, optional)} of a rule, as SCHEMA.md writes keys."""
    kind, optional = rule[0] & ~file_rules.OPTIONAL, rule[0] >= file_rules.OPTIONAL
    low, high = rule[1:3] if len(rule) > 1 else (None, None)
    if kind == file_rules.OBJECT and high == 99:
        low = high = None
    out = {key: (KINDS[kind], low, high, optional)}
    if kind == file_rules.OBJECT:
        for name, more in rule[3].items():
            out |= rows(more, f"{key}.{name}")
    elif kind in (file_rules.LIST, file_rules.RECORD, file_rules.CURVE):
        if rule[3]:
            out |= rows(rule[3], key + "[]")
        for n, more in enumerate(rule[4] if len(rule) > 4 else ()):
            out |= rows(more, f"{key}[{n}]")
    return out


def test_the_device_has_the_rules_of_the_page():
    page = schema.load()
    names = {pattern: "captures" if pattern.startswith("captures/") else pattern.rpartition("/")[2] for pattern in page}
    ours = {pattern: table for pattern, table in page.items() if not any(part in pattern for part in OTHERS)}
    assert {names[pattern] for pattern in ours} == set(file_rules.FILES)
    for pattern, table in ours.items():
        wanted = {key: (rule.holds, rule.low, rule.high, rule.optional) for key, rule in table.items()}
        found = {}
        for key, rule in file_rules.FILES[names[pattern]].items():
            found |= rows(rule, key)
        assert len(found) >= len(table)
        assert found == wanted, pattern


def load_all(disk):
    """Read everything as the device does -> what it says about it."""
    shelf = Shelf(disk)
    show = shelf.open()
    said = shelf.faults
    from firmware import feed_rdm_begin
    from firmware.show import device_settings, network_settings

    for _what, fault in (device_settings.load(disk), network_settings.load(disk), groups.load(show),
                         feed_settings.load(show), load_effects(show), captures.about(disk, 1),
                         file_store.load(disk, feed_rdm_begin.PATH)):
        said += [fault] if fault else []
    return said + running_order.RunningOrder(show).faults + meter_readings.Readings(show).faults


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(1 << 60), 1 << 60) | st.integers(-2, 600) | st.floats(allow_nan=False)
    | st.text(st.characters(), max_size=30) | st.sampled_from(["s", "linear", "\ud800", "dim", "Pulse"]),
    lambda inner: st.lists(inner, max_size=9) | st.dictionaries(st.sampled_from(["uid", "name", "x", "7"]), inner))


def written(obj):
    """The bytes of a file with that content and a right checksum, in the form that JSON itself gives it."""
    from binascii import crc32

    body = json.dumps(obj, separators=(",", ":")).encode()[1:]
    return b'{"crc":"%08x",' % crc32(body, crc32(b"{")) + body


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(st.data())
def test_host_and_device_accept_and_refuse_the_same(files, data):  # noqa: F811
    name = data.draw(st.sampled_from(sorted(n for n in files if not any(part in n for part in OTHERS))))
    obj = json.loads(files[name])
    del obj["crc"]
    path = data.draw(st.sampled_from([path for path, _value in leaves(obj) if path and path != ["schema"]]))
    how = data.draw(st.sampled_from(["other", "gone", "more", "near"]))
    at = obj
    for key in path[:-1]:
        at = at[key]
    if how == "other":
        at[path[-1]] = data.draw(JSON)
    elif how == "gone":
        del at[path[-1]]
    elif how == "near" and type(at[path[-1]]) is int:
        at[path[-1]] += data.draw(st.sampled_from([-70000, -600, -1, 1, 600, 70000]))
    elif isinstance(at, list):
        at.insert(data.draw(st.integers(0, len(at))), data.draw(JSON | st.just(at[path[-1]])))
    else:
        at[data.draw(st.text(max_size=5))] = data.draw(JSON)
    changed = {**files, name: written(obj)}
    disk = MemoryDisk(changed)
    said = load_all(disk)
    refused = list(check.problems(changed))
    assert bool(said) == bool(refused), (said[:2], refused[:2])
    assert not said or name.rpartition("/")[2] in " ".join(said) or "left out" in " ".join(said)
    assert load_all(MemoryDisk(disk.files)) == [] or "rig" in name or "effects" in name  # mended on the disk


CASES = [
    ("shelf.json", {"open": 5, "dark": True}), ("shelf.json", {"open": "show-1", "dark": 7}), (SHOW + "show.json", {}),
    (SHOW + "show.json", {"name": ["x"]}), (SHOW + "rig.json", {"next": 5}),
    (SHOW + "rig.json", {"fixtures": 5}),
    (SHOW + "run.json", {"steps": {"a": 1}}), (SHOW + "groups.json", {"groups": [[1]]}),
    (SHOW + "feed.json", {"rules": 5}),
    (SHOW + "effects.json", {"effects": 3}), (SHOW + "effects.json", {"effects": [["Pulse"]]}),
    (SHOW + "readings.json", {"readings": {"x": 1}}), (SHOW + "readings.json", {"iso": 1 << 40}),
    ("kit.json", {"quick": 1 << 30}), ("kit.json", {"light": "x"}),
]


@pytest.mark.parametrize(("name", "content"), CASES)
def test_the_device_starts_with_light(files, name, content):  # noqa: F811
    """Whatever stands in a file: the app starts, says so, and goes on."""
    disk = MemoryDisk({**files, name: written({"schema": SCHEMA, **content})})
    device = Bare(disk, Panel(128, 64, 1))
    device.run(0.2)
    for page in ("light", "looks", "run", "effects", "meter", "groups", "slate", "rig", "settings", "feed", "captures"):
        device.app.open(page)
        device.turn(1)
    assert any(name in words for _at, words, _where in device.app.log.entries())


def test_what_is_wrong_in_a_lamp_costs_that_lamp_alone(files):  # noqa: F811
    obj = json.loads(files[SHOW + "rig.json"])
    del obj["crc"]
    names = [f["name"] for f in obj["fixtures"]]
    assert len(names) == 3
    obj["fixtures"][1]["trims"]["curve"] = 5  # a trim: the lamp stays
    obj["fixtures"][2]["address"] = 70000  # the lamp goes
    whole = bytes(seal(obj, SCHEMA))
    disk = MemoryDisk({**files, SHOW + "rig.json": whole})
    shelf = Shelf(disk)
    fixtures = shelf.open().rig.fixtures
    assert [f.name for f in fixtures] == names[:2]
    assert "curve" not in fixtures[1].trims and fixtures[1].trims["strike"] == 1200
    fault = next(f for f in shelf.faults if "rig.json" in f)
    assert "fixtures[1].trims.curve = 5 must be text or a list and 1 more" in fault
    assert disk.files[SHOW + "rig.json.bad"] == whole


def test_a_file_of_which_nothing_can_be_used_gives_way_to_its_last_good_copy(files):  # noqa: F811
    path = SHOW + "rig.json"
    disk = MemoryDisk({**files, path: written({"schema": SCHEMA, "fixtures": 5}), path + "~": files[path]})
    obj, fault = file_store.load(disk, path)
    assert len(obj["fixtures"]) == 3
    assert fault == (path + " is wrong: fixtures = 5 must be a list: set aside, the last good copy is used")
    assert disk.files[path] == files[path]
    broken = MemoryDisk({path: written({"schema": SCHEMA}), path + "~": written({"schema": SCHEMA})})
    assert file_store.load(broken, path)[0] is None


@pytest.mark.parametrize("depth", [20, 900, 100_000])
def test_nested_as_deep_as_one_likes(files, depth):  # noqa: F811
    body = b'"schema":1,"x":' + b"[" * depth + b"]" * depth + b"}"
    from binascii import crc32

    data = b'{"crc":"%08x",' % crc32(body, crc32(b"{")) + body
    for name in ("kit.json", SHOW + "rig.json"):
        changed = {**files, name: data}
        assert load_all(MemoryDisk(changed))
        assert list(check.problems(changed))


def test_a_newer_file_is_read_as_far_as_it_can_be(files):  # noqa: F811
    obj = copy.deepcopy(json.loads(files[SHOW + "rig.json"]))
    del obj["crc"]
    obj = put(obj, ["schema"], SCHEMA + 1)
    obj["fixtures"][2]["address"] = "A5"
    obj["what is new"] = 1
    disk = MemoryDisk({**files, SHOW + "rig.json": written(obj)})
    before = dict(disk.files)
    shelf = Shelf(disk)
    assert len(shelf.open().rig.fixtures) == 2
    assert {p: d for p, d in disk.files.items() if p.startswith(SHOW)} == {
        p: d for p, d in before.items() if p.startswith(SHOW)}




def resum(data, at, size):
    """Give a record of the slate, whose head begins at `at`, the right checksum: see the head of slate.py."""
    from binascii import crc32

    data[at + 4:at + 8] = crc32(data[at + 8:at + 8 + size], crc32(data[at + 1:at + 4])).to_bytes(4, "little")


def test_any_byte_of_the_slate(files):  # noqa: F811
    """Each byte of its records is made other, and their checksums right."""
    from firmware.show import slate
    from firmware.stage.stage import Stage

    disk = MemoryDisk(files)
    show = Shelf(disk).open()
    log = slate.Slate(show)
    entry = [0] * slate.TEXT + ["Küche"]
    entry[slate.SCENE], entry[slate.MASTER] = 5, 65536
    log.log(entry, slate.pack_lamps(Stage(show)))
    log.note(1, "gut")
    path = SHOW + "slate/00.log"
    whole = disk.files[path]
    heads, at = [], 0
    while at < len(whole):
        size = whole[at + 2] | whole[at + 3] << 8
        heads.append((at, size))
        at += 8 + size
    assert len(heads) == 3
    tried = 0
    for at, size in heads:
        for n in [1, *range(8, 8 + size)]:
            for value in (0, 0x7F, 0xFF):
                data = bytearray(whole)
                data[at + n] = value
                resum(data, at, size)
                disk.files[path] = bytes(data)
                found = slate.Slate(show)
                for entry in filter(None, found.entries()):
                    slate.scene_text(entry)
                    try:
                        slate.differences(show.rig, found.lamps(entry))
                    except ValueError as error:
                        assert "damaged" in str(error)
                tried += 1
    assert tried > 390


def test_any_byte_of_the_state(files):  # noqa: F811
    """Likewise of what was on at power-down: the device starts, and its light can be dialled."""
    from binascii import crc32

    from firmware.stage import state_read
    from firmware.stage.stage import Stage
    from firmware.stage.state_write import StateWriter

    disk = MemoryDisk(files)
    show = Shelf(disk).open()
    stage = Stage(show)
    stage.dial("Heron", level=0.5, fan=7)
    stage.step(0)
    writer = StateWriter(disk, stage)
    show.looks.load()
    stage.go("Day", 5)
    stage.step(100)
    writer.step(100)
    writer.flush(5000)
    path = next(p for p in disk.files if p.startswith("state/base"))
    whole = disk.files[path]
    for n in range(len(whole) - 4):
        for value in (0, 0x7F, 0xFF):
            data = bytearray(whole[:-4])
            data[n] = value
            disk.files[path] = bytes(data) + crc32(data).to_bytes(4, "little")
            again = Stage(show)
            state_read.read(StateWriter(disk, again), 0)
            for now in (0, 40, 1000, 70000):
                again.step(now)
            again.dial("Heron", level=0.25)
            again.step(70040)
            assert all(0 <= again.value(f, "level") <= 1 for f in show.rig.fixtures)
