"""The safe file layer on the RAM disk: the form of a file, a cut at every step, damage, a full disk."""

import json
import pathlib
import random
import subprocess
import zlib

import numpy as np
import pytest

from firmware.show import file_disk, file_format, file_room, file_store, file_write
from sim.disk import MemoryDisk, PowerCut

ROOT = pathlib.Path(__file__).parents[2]
VM = ROOT / ".venv/bin/micropython"
OLD = {"name": "Key é", "lights": {"2": [65536, 5600], "10": [0, None]}, "on": True, "schema": 1}
NEW = {"name": 'Key "2"', "lights": {}, "on": False, "xy": [0.3127, -0.02], "schema": 1}


def jcs(obj):
    """RFC 8785 for such numbers and keys: what CPython's json writes with these settings."""
    return json.dumps(obj, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def test_crc_is_the_one_of_zip_and_png():
    # The check value of CRC-32/ISO-HDLC for "123456789" (catalogue of parametrised CRCs, from memory).
    assert file_format.crc32(b"123456789") == zlib.crc32(b"123456789") == 0xCBF43926


def test_a_file_is_one_json_object_whose_crc_any_language_can_check():
    data = bytes(file_format.seal(OLD, 1))
    obj = json.loads(data)
    crc = obj.pop("crc")
    assert obj == OLD
    assert int(crc, 16) == zlib.crc32(jcs(obj))  # by meaning
    assert int(crc, 16) == zlib.crc32(b"{" + data[18:])  # by bytes
    assert data == b'{"crc":"' + crc.encode() + b'",' + jcs(OLD)[1:]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        # RFC 8785 section 3.2.2.2 (strings) and appendix B (whole numbers); RFC 8259 section 7, from memory.
        ("\u20ac$\u000f\nA'B\"\\\\\"/", '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'),
        ("\b\t\f\r\x7f", '"\\b\\t\\f\\r\x7f"'),
        (9007199254740991, "9007199254740991"),
        (-9007199254740991, "-9007199254740991"),
        ([True, False, None, [], {}, ""], '[true,false,null,[],{},""]'),
        ({"b": 1, "a": {"\r": 2, "1": 3}}, '{"a":{"\\r":2,"1":3},"b":1}'),
        ((1, 2), "[1,2]"),
    ],
)
def test_canonical_form(value, text):
    assert file_format.encode(value).decode() == text
    json.loads(text)


def es6(text):
    """A number as RFC 8785 section 3.2.2.3 writes it: CPython's shortest digits, without an exponent."""
    value = float(text)
    return f"{value:.6f}".rstrip("0").rstrip(".") if abs(value) < 1e-3 else repr(value).removesuffix(".0")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.3127, "0.3127"),  # x of D65, CIE 015
        (-0.02, "-0.02"),
        (1e-6, "0.000001"),
        (0.1 + 0.2, "0.3"),
        (1.0, "1"),
        (-0.0, "0"),
        (2700.5, "2700.5"),
        (0.12345678, "0.123457"),
        (98765.4321, "98765.4"),
        (12345678.9, "12345679"),
    ],
)
def test_decimals_are_rounded_to_what_every_chip_can_tell_apart(value, text):
    assert file_format.encode(value).decode() == text == es6(text)


def test_single_precision_writes_the_same_decimals():
    """The chips' floats are IEEE 754 single: numpy's float32 stands for them."""
    from firmware.show import file_encode  # file_format.py loads and drops it

    rng = random.Random(2)
    for _ in range(1500):
        digits = rng.randrange(4000000)
        value = digits / 10 ** rng.randrange(7) * rng.choice((1, -1))
        single = np.float32(file_format.encode(value).decode())
        assert file_encode._decimal(single) == file_format.encode(value).decode()


@pytest.mark.parametrize("value", [float("nan"), 1e300, 2**53, b"bytes", {1: 2}, {"a": {"b": [1j]}}, {3}])
def test_what_a_file_cannot_hold_is_named(value):
    with pytest.raises(ValueError, match="not"):
        file_format.encode(value)


def test_the_vm_writes_the_same_bytes():
    script = (
        "from firmware.show import file_format\nimport sys\n"
        f"for obj in ({OLD!r}, {NEW!r}): print(bytes(file_format.seal(obj, 1)).decode())\n"
        "print(file_format.encode('\\b\\x0f\\u20ac').decode())"
    )
    out = subprocess.run([VM, "-X", "heapsize=192k", "-c", script], cwd=ROOT, capture_output=True, check=True)
    expected = [bytes(file_format.seal(obj, 1)) for obj in (OLD, NEW)] + [file_format.encode("\b\x0f\u20ac")]
    assert out.stdout == b"".join(line + b"\n" for line in expected)


def test_round_trip_and_the_last_good_copy():
    disk = MemoryDisk()
    file_store.save(disk, "a.json", OLD)
    file_store.save(disk, "a.json", NEW)
    assert file_store.load(disk, "a.json") == (NEW, None)
    assert file_store.load(disk, "a.json~") == (OLD, None)
    assert sorted(disk.files) == ["a.json", "a.json~"]


def test_saving_the_same_again_writes_nothing():
    disk = MemoryDisk()
    file_store.save(disk, "a.json", OLD)
    disk.power_up()
    file_store.save(disk, "a.json", dict(OLD))
    assert disk.power_up() == 0


def test_no_file_is_no_fault():
    assert file_store.load(MemoryDisk(), "a.json") == (None, None)


def cut_everywhere(files, act):
    """Run act(disk) from these files, cut at every write step; yields the disk after each, powered up."""
    n, whole = 1, False
    while not whole:
        disk = MemoryDisk(files)
        disk.cut_after(n)
        try:
            act(disk)
            whole = True
        except PowerCut:
            pass
        disk.power_up()
        yield disk
        n += 1
    assert n > 3


@pytest.mark.parametrize("recovered", [False, True])
def test_a_cut_anywhere_in_a_save_leaves_the_old_or_the_new(recovered):
    before = MemoryDisk()
    file_store.save(before, "a.json", {"older": 1})
    file_store.save(before, "a.json", OLD)
    seen = []
    for disk in cut_everywhere(before.files, lambda disk: file_store.save(disk, "a.json", NEW)):
        if recovered:
            assert file_store.recover(disk, "") == []
            assert "a.json+" not in disk.files
        obj, fault = file_store.load(disk, "a.json")
        assert fault is None
        seen.append(obj)
    assert [o for i, o in enumerate(seen) if i == 0 or o != seen[i - 1]] == [OLD, NEW]


def test_a_cut_in_the_first_save_leaves_nothing_or_all():
    for disk in cut_everywhere({}, lambda disk: file_store.save(disk, "a.json", NEW)):
        assert file_store.load(disk, "a.json") in ((None, None), (NEW, None))
        assert "a.json+" not in disk.files


def test_a_cut_in_recovery_is_survived():
    before = MemoryDisk()
    file_store.save(before, "d.json", OLD)
    for cut in cut_everywhere(before.files, lambda disk: file_store.save(disk, "d.json", NEW)):
        n = 1
        while True:
            disk = MemoryDisk(cut.files)
            disk.cut_after(n)
            try:
                file_store.recover(disk, "")
                break
            except PowerCut:
                disk.power_up()
                assert file_store.load(disk, "d.json") in ((OLD, None), (NEW, None))
            n += 1


def test_a_cut_in_a_delete_leaves_it_or_not():
    before = MemoryDisk()
    file_store.save(before, "a.json", OLD)
    file_store.save(before, "a.json", NEW)
    for disk in cut_everywhere(before.files, lambda disk: file_store.remove(disk, "a.json")):
        assert file_store.recover(disk, "") == []
        assert file_store.load(disk, "a.json") in ((NEW, None), (None, None))


def test_every_bit_flip_is_found_named_and_survived():
    good = MemoryDisk()
    file_store.save(good, "a.json", OLD)
    file_store.save(good, "a.json", NEW)
    data = good.files["a.json"]
    for bit in range(len(data) * 8):
        disk = MemoryDisk(good.files)
        flipped = bytearray(data)
        flipped[bit // 8] ^= 1 << bit % 8
        disk.files["a.json"] = bytes(flipped)
        obj, fault = file_store.load(disk, "a.json")
        assert obj == OLD
        assert fault.startswith("a.json is ") and fault.endswith("the last good copy is used")
        assert disk.files["a.json.bad"] == flipped
        assert file_store.load(disk, "a.json") == (OLD, None)


def test_a_random_burst_or_a_cut_end_is_found():
    rng = random.Random(1)
    data = bytes(file_format.seal(OLD, 1))
    for _ in range(600):
        bad = bytearray(data)
        a = rng.randrange(len(bad))
        bad[a : a + rng.randrange(1, 30)] = rng.randbytes(rng.randrange(0, 30))
        if bytes(bad) != data:
            assert file_store.read(MemoryDisk({"a": bytes(bad)}), "a")[0] is None


def test_damage_without_a_good_copy_is_set_aside_and_said():
    disk = MemoryDisk({"a.json": b"{}", "a.json.bad": b"earlier"})
    assert file_store.load(disk, "a.json") == (None, "a.json is not whole: set aside, there is no good copy")
    assert disk.files == {"a.json.2.bad": b"{}", "a.json.bad": b"earlier"}


def test_a_save_over_a_damaged_file_sets_it_aside_and_spares_the_good_copy():
    disk = MemoryDisk()
    file_store.save(disk, "a.json", OLD)
    file_store.save(disk, "a.json", {"b": 1})
    disk.files["a.json"] = b"torn"
    file_store.save(disk, "a.json", NEW)
    assert disk.files["a.json.bad"] == b"torn"
    assert file_store.load(disk, "a.json~") == (OLD, None)
    assert file_store.load(disk, "a.json") == (NEW, None)


def test_valid_crc_over_what_is_not_a_show_file():
    body = b'{"crc":"%08x",oops}' % zlib.crc32(b"{oops}")
    assert file_store.read(MemoryDisk({"a": body}), "a") == (None, "is not JSON")
    body = b'{"crc":"%08x","a":1}' % zlib.crc32(b'{"a":1}')
    assert file_store.read(MemoryDisk({"a": body}), "a") == (None, "has no schema number")


def test_a_full_disk_refuses_and_leaves_everything_as_it_was():
    disk = MemoryDisk(size=file_disk.RESERVE + 3 * 4096)
    file_store.save(disk, "a.json", OLD)
    file_store.save(disk, "b.json", OLD)
    disk.files["other"] = b"x" * 4096
    before = dict(disk.files)
    with pytest.raises(OSError, match="no room for a.json: it needs 91 bytes, 0 are free. Delete") as caught:
        file_store.save(disk, "a.json", NEW)
    assert caught.value.errno == 28
    assert disk.files == before


def test_last_good_copies_give_way_when_space_is_short():
    disk = MemoryDisk(size=file_disk.RESERVE + 5 * 4096)  # the root takes two
    for name, what in (("a", "old"), ("a", "new"), ("b", "old"), ("c", "old")):
        file_store.save(disk, name + ".json", {"what": what, "block": "x" * 600})
    assert sorted(disk.files) == ["a.json", "b.json", "c.json"]


def test_a_last_good_copy_that_is_needed_does_not_give_way():
    disk = MemoryDisk({"a.json~": b"1", "b.json": b"2", "b.json~": b"3", "s/c.json~": b"4"})
    assert list(file_room.spare(disk)) == ["b.json~"]


@pytest.mark.parametrize("mark", ["+", "~"])
def test_recovery_on_a_disk_that_cannot_even_rename(mark):
    """littlefs, full to the brim, answers ENOSPC to a rename: seen with it under power cuts."""
    disk = MemoryDisk({"a.json" + mark: bytes(file_format.seal(OLD, 1))})

    def full(old, new):
        raise OSError(28, old)

    disk.rename = full
    assert len(file_store.recover(disk, "")) == (mark == "~")
    assert file_store.load(disk, "a.json")[0] == OLD


def test_a_newer_file_is_read_and_never_written():
    disk = MemoryDisk()
    file_store.save(disk, "a.json", {"schema": file_format.SCHEMA + 1, "x": 1})
    obj, fault = file_store.load(disk, "a.json")
    assert obj["x"] == 1 and file_format.newer(obj)
    assert "newer version" in fault and "read only" in fault
    before = dict(disk.files)
    with pytest.raises(OSError, match="newer"):
        file_store.save(disk, "a.json", NEW)
    assert disk.files == before


@pytest.fixture
def schema_3(monkeypatch):
    """As if the present schema were 3."""
    steps = {1: lambda path, obj: {"title": obj["name"]}, 2: lambda path, obj: {**obj, "path": path}}
    for module in (file_store, file_format):
        monkeypatch.setattr(module, "SCHEMA", 3)
    for n, step in steps.items():
        monkeypatch.setitem(file_format.STEPS, n, step)


def test_an_older_file_is_migrated_and_the_original_kept(schema_3):
    disk = MemoryDisk()
    file_store.save(disk, "a.json", {"name": "x", "schema": 1})
    original = disk.files["a.json"]
    assert file_store.load(disk, "a.json") == ({"title": "x", "path": "a.json", "schema": 3}, None)
    assert disk.files["a.json.v1"] == original
    assert file_store.read(disk, "a.json")[0]["schema"] == 3
    disk.power_up()
    file_store.load(disk, "a.json")
    assert disk.power_up() == 0


def test_a_cut_anywhere_in_a_migration_loses_nothing(schema_3):
    old = {"a.json": bytes(file_format.seal({"name": "x"}, 1))}
    for disk in cut_everywhere(old, lambda disk: file_store.load(disk, "a.json")):
        file_store.recover(disk, "")
        assert file_store.load(disk, "a.json") == ({"title": "x", "path": "a.json", "schema": 3}, None)
        assert disk.files["a.json.v1"] == old["a.json"]


def test_without_room_a_file_is_migrated_in_memory_only(schema_3):
    old = {"a.json": bytes(file_format.seal({"name": "x"}, 1))}
    disk = MemoryDisk(old, size=4096)
    assert file_store.load(disk, "a.json") == ({"title": "x", "path": "a.json", "schema": 3}, None)
    assert disk.files == old


def test_a_schema_without_a_way_up_is_named():
    disk = MemoryDisk()
    file_store.save(disk, "a.json", {"schema": 0})
    assert file_store.load(disk, "a.json") == (None, "a.json is of schema 0, which this version cannot read")


def test_deleted_shows_give_way_before_good_copies():
    files = {"trash/old/in/b.json": b"2", "s/b.json": b"3", "s/b.json~": b"4"}
    disk = MemoryDisk(files)
    steps = [sorted(disk.files) for _ in file_room.spare(disk)]
    assert steps[0] == ["s/b.json", "s/b.json~"] and disk.list("trash") == []
    assert steps[-1] == ["s/b.json"]


def test_need_gives_up_what_it_must_and_no_more():
    files = {f"{n}.json{mark}": bytes(600) for n in "abc" for mark in ("", "~")}  # a block each
    disk = MemoryDisk(files, file_disk.RESERVE + 8 * 4096)  # the root takes two
    file_write.with_room(disk, "x", 4096, file_disk.RESERVE, lambda: True)
    assert sorted(disk.files) == ["a.json", "b.json", "b.json~", "c.json", "c.json~"]
    with pytest.raises(OSError, match="no room for x: it needs 20480 bytes, 12288 are free"):
        file_write.with_room(disk, "x", 5 * 4096, file_disk.RESERVE, lambda: True)
