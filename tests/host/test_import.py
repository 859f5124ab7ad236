"""`host import`: GDTF files written by pygdtf's own classes come back slot by slot; bad files are refused."""

import json
import zipfile

import pygdtf
import pytest

from firmware.show.personality_build import pack, unpack
from firmware.show.show import Show
from host import Refused, __main__, gdtf, import_gdtf
from sim.disk import FolderDisk
from tests.host.gdtf_files import channel, fixture, function

FILM = [
    channel("Dimmer", (1, 2)), channel("CTC", (3,), low=2700, high=6500), channel("Tint", (4,), low=0.02, high=-0.02),
    channel("HSB_Hue", (5, 6), low=0, high=360), channel("HSB_Saturation", (7,), low=0, high=1),
    channel("Shutter1", (8,), [function("Shutter1", default="255/1"), function("Shutter1Strobe", start="20/1")]),
    channel("Fan", (9,), snap="Yes", default="128/1"),
]
LEDS = (("Red", 0.6901, 0.3052, 30.0), ("Green", 0.1802, 0.7103, 75.0), ("Blue", 0.1403, 0.0454, 9.0))


def personality(path, number=0):
    made = gdtf.load(path)
    return gdtf.convert(made, made.dmx_modes[number])


@pytest.fixture
def film(tmp_path):
    return fixture(tmp_path / "film.gdtf", {"9 slots": FILM})


def test_slot_by_slot(film):
    """Expected: what was handed to pygdtf's classes above."""
    made, notes = personality(film)
    assert made.slots == 9
    assert made.channels == (
        ("level", 0, 1, 0, 1, 0, 0), ("cct", 2, -1, 2700, 6500, 0, 0), ("duv", 3, -1, 0.02, -0.02, 0, 0),
        ("hue", 4, 5, 0, 360, 0, 0), ("sat", 6, -1, 0, 1, 0, 0), ("shutter1", 7, -1, 0, 255, 65535, 0),
        ("fan", 8, -1, 0, 255, 128 * 257, 1))
    assert "Shutter1: 1 more function of slot 8 left out" in notes
    assert "Fan: carried as the raw channel 'fan'" in notes


def test_against_the_library_s_own_reading(film):
    """Every slot that pygdtf finds in the mode is in the personality, coarse and fine as it says."""
    made = gdtf.load(film)
    ours = sorted(tuple(slot + 1 for slot in c[1:3] if slot >= 0) for c in personality(film)[0].channels)
    assert ours == sorted(tuple(one.offset) for one in made.dmx_modes[0].dmx_channels)
    assert made.dmx_modes[0].dmx_channels_count == 9


def test_files_hold_it_without_loss(film):
    made, _ = personality(film)
    again = unpack(json.loads(json.dumps(pack(made))))
    assert again.channels == made.channels and again.id == made.id == "reedbed-lighting-moorhen-60-9-slots"


def test_emitters_keep_their_chromaticity_and_relative_light(tmp_path):
    mode = [channel("ColorAdd_R", (1,), emitter="Red"), channel("ColorAdd_G", (2, 3), emitter="Green"),
            channel("ColorAdd_B", (4,), emitter="Blue")]
    made, notes = personality(fixture(tmp_path / "rgb.gdtf", {"RGB": mode}, LEDS))
    assert made.emitters == (
        ("red", 0.6901, 0.3052, 0.4), ("green", 0.1802, 0.7103, 1.0), ("blue", 0.1403, 0.0454, 0.12))
    assert [c[:3] for c in made.channels] == [("red", 0, -1), ("green", 1, 2), ("blue", 3, -1)]
    assert notes == []


def test_what_the_file_lacks_is_assumed_and_said(tmp_path):
    mode = [channel("ColorRGB_Red", (1,)), channel("ColorRGB_Green", (2,)), channel("ColorAdd_WW", (3,))]
    path = fixture(tmp_path / "x.gdtf", {"m": mode}, colours=[("ColorRGB_Green", 0.2, 0.68)])
    made, notes = personality(path)
    assert made.emitters[made.emitter_at["green"]][1:3] == (0.2, 0.68)
    assert any("ColorRGB_Red: the file gives no colour" in note for note in notes)
    assert any("no output for red, green, warm: typical ones assumed" in note for note in notes)


def test_outputs_that_were_never_filled_in_are_not_believed(tmp_path):
    mode = [channel("ColorAdd_R", (1,), emitter="Red"), channel("ColorAdd_G", (2,), emitter="Green")]
    alike = [(name, x, y, 100.0) for name, x, y, _ in LEDS[:2]]
    made, notes = personality(fixture(tmp_path / "x.gdtf", {"m": mode}, alike))
    assert made.emitters[0][3] < made.emitters[1][3] and any("typical" in note for note in notes)


@pytest.mark.parametrize("start, low, high, full", [("0/1", 2000, 6000, (2000, 6000)),
                                                    ("51/1", 2000, 6000, (1000, 6000))])
def test_a_function_on_part_of_the_slot_keeps_its_scale(tmp_path, start, low, high, full):
    """From slot value 51 = 20 % on 2,000 to 6,000 K: the line through both ends meets 1,000 K at 0."""
    functions = [function("CTC", low, high, start)]
    if start != "0/1":
        functions = [function("CTCReset", name="off"), *functions]
    made, _ = personality(fixture(tmp_path / "x.gdtf", {"m": [channel("CTC", (1,), functions)]}))
    assert made.channels[0][3:5] == pytest.approx(full)


def test_inverted_channels_run_backwards(tmp_path):
    mode = [channel("CTC", (1,), low=2700, high=6500, invert="Yes")]
    made, _ = personality(fixture(tmp_path / "x.gdtf", {"m": mode}))
    assert made.channels[0][3:5] == (6500, 2700)


def test_a_tint_without_duv_is_assumed(tmp_path):
    made, notes = personality(fixture(tmp_path / "x.gdtf", {"m": [channel("Tint", (1,), low=-100, high=100)]}))
    assert made.channels[0][3:5] == (-0.02, 0.02) and "no Duv" in notes[0]


def test_emitters_win_over_a_second_white(tmp_path):
    mode = [channel("CTC", (1,), low=2000, high=9000), channel("ColorAdd_R", (2,)), channel("ColorAdd_G", (3,))]
    made, notes = personality(fixture(tmp_path / "x.gdtf", {"m": mode}))
    assert made.extras() == ["cct slot"] and any("emitters make white" in note for note in notes)


def test_the_length_of_the_mode_is_kept(tmp_path):
    mode = [channel("Dimmer", (1,)), channel("NoFeature", (5,))]
    made, notes = personality(fixture(tmp_path / "x.gdtf", {"m": mode}))
    assert made.slots == 5 and "slot 5 does nothing" in notes[-1]


def test_cells_follow_together(tmp_path):
    mode = [channel(f"ColorAdd_{c}", (at + 3 * cell,)) for cell in (0, 1) for at, c in ((1, "R"), (2, "G"), (3, "B"))]
    made, notes = personality(fixture(tmp_path / "x.gdtf", {"m": mode}))
    assert [c[0] for c in made.channels] == ["red", "green", "blue"] * 2 and len(made.emitters) == 3
    assert "2 cells: all do the same" in notes


def test_third_bytes_and_virtual_channels_are_said(tmp_path):
    _, notes = personality(fixture(tmp_path / "x.gdtf", {"m": [channel("CTC", (1, 2, 3), low=2000, high=9000),
                                                                channel("Dimmer", None)]}))
    assert "CTC: its bytes after the second stay at rest" in notes
    assert "1 virtual channels without slots left out" in notes


@pytest.mark.parametrize("mode, slots", [([], 0), ([channel("Dimmer", (600,))], 600)])
def test_a_mode_of_0_or_600_slots(tmp_path, capsys, mode, slots):
    path = fixture(tmp_path / "x.gdtf", {"Odd": mode, "Good": [channel("Dimmer", (1,))]})
    with pytest.raises(Refused, match=f"mode 'Odd' has {slots} slots; 1 to 512 can be patched"):
        personality(path)
    assert import_gdtf.main([path]) == 1
    said = capsys.readouterr().out
    assert "mode 'Odd'" in said and "Moorhen 60 Good: 1 slots" in said


def archive(path, entries):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in entries:
            made.writestr(name, data)
    return str(path)


ZEROS = bytes(201_000_000)
BILLION = b'<!DOCTYPE a [<!ENTITY b "cccccccccc">]><GDTF><FixtureType Name="&b;"/></GDTF>'


@pytest.mark.parametrize("entries, said", [
    ([("readme.txt", "hello")], "without description.xml"),
    ([("description.xml", b"<GDTF><Fixt")], "is no XML"),
    ([("description.xml", b"<html/>")], "has no FixtureType"),
    ([("description.xml", b"\xff\xfe\x00junk")], "is no XML"),
    ([("description.xml", BILLION)], "defines entities"),
    ([("../../etc/passwd", b"x"), ("description.xml", b"<GDTF/>")], "points outside the archive"),
    ([("/etc/passwd", b"x")], "points outside the archive"),
    ([("C:\\x", b"x")], "points outside the archive"),
    ([("..\\x", b"x")], "points outside the archive"),
    ([("description.xml", b" " * 11_000_000)], "would unpack to"),
    ([("a", ZEROS), ("description.xml", b"<GDTF/>")], "would unpack to 201,000,007 bytes"),
    ([(f"f{n}", b"") for n in range(2100)] + [("description.xml", b"<GDTF/>")], "in 2,101 files"),
])
def test_bad_archives(tmp_path, entries, said):
    path = archive(tmp_path / "bad.gdtf", entries)
    with pytest.raises(Refused, match=said):
        gdtf.load(path)


def test_no_archive_and_no_file(tmp_path, capsys):
    (tmp_path / "x.gdtf").write_bytes(b"PK but not really")
    with pytest.raises(Refused, match="is no GDTF file"):
        gdtf.load(str(tmp_path / "x.gdtf"))
    assert __main__.main(["import", str(tmp_path / "none.gdtf")]) == 1
    assert "there is no such file" in capsys.readouterr().err


def test_a_damaged_archive(film, tmp_path):
    data = bytearray((tmp_path / "film.gdtf").read_bytes())
    data[60:90] = b"\0" * 30
    (tmp_path / "film.gdtf").write_bytes(data)
    with pytest.raises(Refused):
        gdtf.load(film)


def show(folder):
    disk = FolderDisk(folder)
    made = Show(disk, "kitchen")
    made.rig.add("dim", "Practical")
    made.save_rig()
    return folder / "kitchen"


def test_a_lamp_is_added_to_a_show(film, tmp_path, capsys):
    folder = show(tmp_path)
    assert __main__.main(["import", film, "--show", str(folder), "--name", "Key"]) == 0
    assert "set Key to address 2 (Key 2-10)" in capsys.readouterr().out
    again = Show(FolderDisk(tmp_path), "kitchen")
    again.load()
    assert again.faults == []
    assert [(f.name, f.address) for f in again.rig.fixtures] == [("Practical", 1), ("Key", 2)]
    assert again.rig.find("Key").personality.channels == personality(film)[0].channels


def test_a_lamp_is_added_to_a_show_in_a_backup(film, tmp_path, capsys):
    folder = show(tmp_path)
    path = tmp_path / "b.zip"
    with zipfile.ZipFile(path, "w") as made:
        for ident in ("one", "two"):
            made.writestr(f"shows/{ident}/rig.json", (folder / "rig.json").read_bytes())
        made.writestr("kit.json", b"kept")
    assert __main__.main(["import", film, "--to", str(path)]) == 1
    assert "holds these shows: one, two" in capsys.readouterr().err
    assert __main__.main(["import", film, "--to", f"{path}:two", "--name", "Key"]) == 0
    with zipfile.ZipFile(path) as made:
        assert sorted(made.namelist()) == ["kit.json", "shows/one/rig.json", "shows/two/rig.json"]
        assert made.read("shows/one/rig.json") == (folder / "rig.json").read_bytes()
        assert made.read("kit.json") == b"kept"
        made.extract("shows/two/rig.json", tmp_path)
    again = Show(FolderDisk(tmp_path / "shows"), "two")
    again.load()
    assert again.faults == [] and [f.name for f in again.rig.fixtures] == ["Practical", "Key"]


BAR = [channel("Dimmer", (1,)), *(channel(f"ColorAdd_{c}", (2 + 3 * cell + at,)) for cell in range(4)
                                  for at, c in enumerate("RGB")), channel("Fan", (14,))]


def test_cells_become_fixtures_of_their_own(tmp_path, capsys):
    """Twelve colour slots of four cells, by hand: 2-4, 5-7, 8-10, 11-13; the dimmer is 1, the fan 14."""
    folder = show(tmp_path)
    path = fixture(tmp_path / "bar.gdtf", {"m": BAR})
    assert __main__.main(["import", path, "--to", str(folder), "--cells", "--name", "Bar", "--address", "101"]) == 0
    again = Show(FolderDisk(tmp_path), "kitchen")
    again.load()
    assert again.faults == []
    assert [(f.name, f.address, f.personality.slots) for f in again.rig.fixtures[1:]] == [
        ("Bar shared 1", 101, 1), ("Bar cell 1", 102, 3), ("Bar cell 2", 105, 3), ("Bar cell 3", 108, 3),
        ("Bar cell 4", 111, 3), ("Bar shared 2", 114, 1)]
    assert [c[0] for c in again.rig.find("Bar cell 3").personality.channels] == ["red", "green", "blue"]


def test_a_lamp_of_the_second_universe(tmp_path, capsys):
    folder = show(tmp_path)
    path = fixture(tmp_path / "bar.gdtf", {"m": BAR})
    words = ["import", path, "--to", str(folder), "--name"]
    assert __main__.main([*words, "Far", "--address", "2.101"]) == 0
    assert "set Far to address 2.101 (Far 2.101-114)" in capsys.readouterr().out
    assert __main__.main([*words, "Other", "--address", "2.110"]) == 1
    assert "Clash: Far holds 2.101-114" in capsys.readouterr().err
    again = Show(FolderDisk(tmp_path), "kitchen")
    again.load()
    assert again.faults == [] and again.rig.find("Far").address == 613


@pytest.mark.parametrize("mode, said", [
    ([channel("Dimmer", (1,))], "has no cells"),
    ([channel(f"ColorAdd_{c}", (1 + 2 * at + cell,)) for at, c in enumerate("RGB") for cell in (0, 1)], "lie between"),
])
def test_what_has_no_cells_to_patch_is_refused(tmp_path, capsys, mode, said):
    folder = show(tmp_path)
    before = (folder / "rig.json").read_bytes()
    assert __main__.main(["import", fixture(tmp_path / "x.gdtf", {"m": mode}), "--to", str(folder), "--cells"]) == 1
    assert said in capsys.readouterr().err and (folder / "rig.json").read_bytes() == before


def test_what_repeats_is_said_once(tmp_path, capsys):
    many = [channel("ColorAdd_R", (1 + 2 * n,)) for n in range(24)]
    many += [channel("Shutter1", (2 + 2 * n,), [function("Shutter1"), function("Shutter1Strobe", start="20/1")])
             for n in range(24)]
    assert import_gdtf.main([fixture(tmp_path / "x.gdtf", {"m": many})]) == 0
    said = capsys.readouterr().out
    assert "Shutter1: 1 more function of slot 2 left out (and 23 more like this)" in said
    assert said.count("left out") == 1 and said.count("gives no colour") == 1


def test_turns_keep_their_degrees_and_wheels_the_names_of_their_places(tmp_path, capsys):
    sets = [pygdtf.ChannelSet(name=name, dmx_from=pygdtf.DmxValue(f"{start}/1"))
            for name, start in (("open", 0), ("leaves", 16), ("", 32), ("rain", 48))]
    wheel = function("Gobo1")
    wheel.channel_sets = sets
    mode = [channel("Pan", (1, 2), low=-270, high=270), channel("Tilt", (3,), low=135, high=-135),
            channel("Gobo1", (4,), [wheel])]
    path = fixture(tmp_path / "x.gdtf", {"m": mode})
    made, _ = personality(path)
    assert [c[:5] for c in made.channels[:2]] == [("pan", 0, 1, -270, 270), ("tilt", 2, -1, 135, -135)]
    assert import_gdtf.main([path, "--json", str(tmp_path / "out")]) == 0
    assert "gobo1: 0 open, 16 leaves, 48 rain" in capsys.readouterr().out
    kept = json.loads(next((tmp_path / "out").iterdir()).read_text())
    assert kept["places"] == {"gobo1": [[0, "open"], [16, "leaves"], [48, "rain"]]}
    assert unpack(kept).channels == made.channels


def test_a_clash_adds_nothing(film, tmp_path, capsys):
    folder = show(tmp_path)
    before = (folder / "rig.json").read_bytes()
    assert __main__.main(["import", film, "--show", str(folder), "--address", "1"]) == 1
    assert "Clash: Practical holds 1. Nothing was added." in capsys.readouterr().err
    assert (folder / "rig.json").read_bytes() == before


def test_a_folder_that_is_no_show(film, tmp_path, capsys):
    assert __main__.main(["import", film, "--show", str(tmp_path)]) == 1
    assert "is no show" in capsys.readouterr().err


def test_modes_by_name_and_number(tmp_path, capsys):
    path = fixture(tmp_path / "x.gdtf", {"A": [channel("Dimmer", (1,))], "B": [channel("Dimmer", (1, 2))]})
    assert import_gdtf.main([path, "--mode", "2", "--json", str(tmp_path / "out")]) == 0
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["reedbed-lighting-moorhen-60-b.json"]
    with pytest.raises(Refused, match="(?s)no mode called 'C'.*1  A.*2  B"):
        import_gdtf.main([path, "--mode", "C"])
    with pytest.raises(Refused, match="--mode 'A' or 'B'"):
        import_gdtf.main([path, "--show", str(tmp_path)])


def test_a_function_without_bytes_divides_nothing(tmp_path):
    """A DmxValue of no bytes (a file by hand): DIN SPEC 15800 has 1 to 4 bytes (from memory)."""
    made = gdtf.load(fixture(tmp_path / "a.gdtf", {"one": [channel("Dimmer", (1,)), channel("Gobo1", (2,))]}))
    mode = made.dmx_modes[0]
    function_ = mode.dmx_channels[1].logical_channels[0].channel_functions[0]
    function_.dmx_from.byte_count = function_.default.byte_count = 0
    function_.default.value = 3
    assert [c[0] for c in gdtf.convert(made, mode)[0].channels] == ["level", "gobo1"]


def test_what_the_library_trips_over_is_refused_in_words(tmp_path):
    made = gdtf.load(fixture(tmp_path / "a.gdtf", {"one": [channel("Dimmer", (1,))]}))

    class Wheel:
        name = "one"
        virtual_channels = ()

        @property
        def dmx_channels(self):
            return 1 / 0

    with pytest.raises(Refused, match="mode 'one' can't be read as GDTF: ZeroDivisionError"):
        gdtf.convert(made, Wheel())
