"""Several shows on a device: new, open, copy, rename, delete and undo, a full disk, a newer version, a cut."""

import pytest

from firmware.show import file_disk, file_format, file_store, looks_edit, rig_file, shelf_edit
from firmware.show.shelf import Shelf
from sim.disk import SIZE, MemoryDisk, PowerCut
from tests.keep.full import fill

LIGHT = {1: [65536, 3200, 0, 0, 0, 0, {}]}


def shelf_with(*names):
    """A shelf with shows of these names, each with a lamp and two looks."""
    disk = MemoryDisk()
    shelf = Shelf(disk)
    for name in names:
        show = shelf.open(shelf_edit.new(shelf, name))
        show.rig.add("dim", name)
        show.save_rig()
        show.looks.store("Day", LIGHT)
        show.looks.store("Night", LIGHT)
    return disk, shelf


def content(show):
    """All that a show holds."""
    show.looks.load()
    return rig_file.pack(show.rig), [(name, show.looks.recall(name)) for name in show.looks.names()]


def listing(shelf):
    return [(ident, shelf.name(ident)) for ident in shelf.idents()]


def test_an_empty_device_gets_a_first_show():
    disk, shelf = shelf_with()
    show = shelf.open()
    assert show.name == "Show 1" and listing(shelf) == [("show-1", "Show 1")]
    assert Shelf(disk).open().folder == show.folder == "shows/show-1"


def test_the_last_open_show_opens_again():
    disk, shelf = shelf_with("Boat", "Attic")
    assert Shelf(disk).open().name == "Attic"
    shelf.open("boat")
    show = Shelf(disk).open()
    assert show.name == "Boat" and show.rig.fixtures[0].name == "Boat"


def test_names_need_not_be_unique_and_may_have_any_letters():
    _disk, shelf = shelf_with("Küche", "Küche", "夜")
    assert listing(shelf) == [("k-che", "Küche"), ("k-che-2", "Küche"), ("show", "夜")]


@pytest.mark.parametrize(("name", "words"), [("  ", "needs a name"), ("x" * 25, "25 letters, can be 24")])
def test_bad_names(name, words):
    disk, shelf = shelf_with("Boat")
    before = dict(disk.files)
    for verb in (lambda name: shelf_edit.new(shelf, name), lambda name: shelf_edit.rename(shelf, "boat", name),
                 lambda name: shelf_edit.copy(shelf, "boat", name)):
        with pytest.raises(ValueError, match=words):
            verb(name)
    assert disk.files == before


def test_copy_and_rename():
    _disk, shelf = shelf_with("Boat")
    assert shelf_edit.copy(shelf, "boat", "Boat pick-up") == "boat-pick-up"
    shelf_edit.rename(shelf, "boat", "Ship")
    assert listing(shelf) == [("boat", "Ship"), ("boat-pick-up", "Boat pick-up")]
    assert content(shelf.open("boat")) == content(shelf.open("boat-pick-up"))


def test_opening_what_is_not_there():
    _disk, shelf = shelf_with("Boat")
    with pytest.raises(ValueError, match="No show called ghost"):
        shelf.open("ghost")


def test_delete_can_be_undone_until_the_next_power_up():
    disk, shelf = shelf_with("Boat", "Attic")
    before = content(shelf.open("boat"))
    shelf.open("attic")
    shelf_edit.remove(shelf, "boat")
    assert shelf.idents() == ["attic"]
    assert not shelf.tidy()
    assert shelf_edit.can_put_back(shelf) == "boat"
    assert shelf_edit.put_back(shelf) == "boat"
    assert content(shelf.open("boat")) == before
    shelf.open("attic")
    shelf_edit.remove(shelf, "boat")
    again = Shelf(disk)
    assert shelf_edit.can_put_back(again) is None
    with pytest.raises(ValueError, match="No deleted show"):
        shelf_edit.put_back(again)
    while again.tidy():
        pass
    assert disk.list("trash") == []


def test_two_deletes_come_back_in_turn():
    _disk, shelf = shelf_with("Boat", "Attic", "Roof")
    shelf_edit.remove(shelf, "boat")
    shelf_edit.remove(shelf, "attic")
    shelf_edit.new(shelf, "Boat")
    assert [shelf_edit.put_back(shelf), shelf_edit.put_back(shelf)] == ["attic", "boat-2"]


def test_the_open_show_is_not_deleted():
    _disk, shelf = shelf_with("Boat")
    with pytest.raises(ValueError, match="Boat is open"):
        shelf_edit.remove(shelf, "boat")


def test_a_full_disk_refuses_and_changes_nothing():
    disk, shelf = shelf_with("Boat")
    for path in [p for p in disk.files if p.endswith("~")]:
        disk.remove(path)  # good copies would give way
    fill(disk, 2)
    before = listing(shelf), content(shelf.open())
    with pytest.raises(OSError, match="no room for"):
        shelf_edit.copy(shelf, "boat", "Boat 2")
    assert (listing(shelf), content(shelf.open())) == before


def test_deleted_shows_give_way_and_then_cannot_come_back():
    disk, shelf = shelf_with("Boat", "Attic")
    shelf_edit.remove(shelf, "boat")
    fill(disk, 6)  # and two of its folders, one of its log: more than the reserve and one for the look
    shelf.open().looks.store("Dusk", {uid: [uid, *LIGHT[1][1:]] for uid in range(1, 64)})
    assert shelf_edit.can_put_back(shelf) is None
    assert shelf.open().name == "Attic"


def test_a_show_of_a_newer_version_is_looked_at_and_not_changed():
    disk, shelf = shelf_with("Boat")
    folder = "shows/boat"
    file_store.save(disk, folder + "/show.json", {"name": "Boat", "schema": file_format.SCHEMA + 1})
    before = dict(disk.files)
    again = Shelf(disk)
    show = again.open()
    assert show.read_only and again.faults == ["Boat is of a newer version: it can be looked at, not changed"]
    rig, looks = content(show)
    assert [f["name"] for f in rig["fixtures"]] == ["Boat"] and len(looks) == 2
    for verb in (show.save_rig, lambda: show.looks.store("x", LIGHT), lambda: looks_edit.remove(show.looks, "Day")):
        with pytest.raises(OSError, match="read only"):
            verb()
    assert disk.files == before


@pytest.mark.parametrize("verb", [
    lambda shelf: shelf_edit.new(shelf, "Roof"),
    lambda shelf: shelf_edit.copy(shelf, "boat", "Roof"),
    lambda shelf: shelf_edit.rename(shelf, "boat", "Roof"),
    lambda shelf: shelf_edit.remove(shelf, "boat"),
    lambda shelf: shelf.open("boat"),
    lambda shelf: shelf.set("dark", True),
])
def test_a_cut_anywhere_leaves_it_undone_or_done(verb):
    before, _shelf = shelf_with("Boat", "Attic")
    seen, done, n = [], False, 1

    def state(disk):
        shelf = Shelf(disk)
        open_name, settings = shelf.open().name, dict(shelf.settings)
        settings.pop("open")
        shows = [(i, shelf.name(i), content(shelf.open(i))) for i in shelf.idents()]
        assert shelf.faults == []
        return shows, open_name, settings

    while not done:
        disk = MemoryDisk(before.files)
        shelf = Shelf(disk)
        disk.cut_after(n)
        try:
            verb(shelf)
            done = True
        except PowerCut:
            pass
        disk.power_up()
        now = state(disk)
        if not seen or now != seen[-1]:
            seen.append(now)
        n += 1
    assert len(seen) == 2 and seen[0] == state(MemoryDisk(before.files))


def test_free_is_what_can_be_used():
    disk, shelf = shelf_with("Boat")
    left, total = shelf_edit.free(shelf)
    assert (left, total) == (disk.free()[0] - file_disk.RESERVE, SIZE)
    fill(disk, 3)
    assert shelf_edit.free(shelf)[0] == 0


def test_a_device_setting_is_kept():
    disk, shelf = shelf_with("Boat")
    assert shelf.settings["dark"] is False
    shelf.set("dark", True)
    assert Shelf(disk).settings["dark"] is True


def test_a_disk_too_full_for_a_first_show_still_starts():
    disk = MemoryDisk()
    fill(disk, 4)
    shelf = Shelf(disk)
    show = shelf.open()
    show.looks.load()
    assert show.read_only and len(show.rig) == 0 and "no room" in shelf.faults[0]
    with pytest.raises(OSError, match="cannot be changed"):
        show.save_rig()


def test_a_full_disk_opens_another_show_and_says_that_it_is_not_kept():
    disk, shelf = shelf_with("Boat", "Attic")
    for path in [p for p in disk.files if p.endswith("~")]:
        disk.remove(path)
    fill(disk)
    assert shelf.open("boat").name == "Boat" and "no room for shelf.json" in shelf.faults[-1]
    with pytest.raises(ValueError, match="Boat is open"):
        shelf_edit.remove(shelf, "boat")
    assert Shelf(disk).open().name == "Attic"
