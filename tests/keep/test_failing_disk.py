"""A flash that fails: read only, with errors on reading, in mkdir, in writing. Light, dialling and pages go on, nothing
is renamed for an error on reading, and the screen says that nothing can be saved. Error numbers: errno.h of Linux,
which MicroPython uses."""

import errno

import pytest

from firmware.show import file_store
from firmware.show.shelf import Shelf
from sim import demo
from sim.disk import MemoryDisk
from sim.vm import Bare, Panel


class Failing(MemoryDisk):
    """A disk of which some verbs fail. broken: {verb: error number}; times: how often, or None for always."""

    broken, times = {}, None

    def _fail(self, verb, path):
        number = self.broken.get(verb)
        if number and self.times != 0:
            self.times = None if self.times is None else self.times - 1
            raise OSError(number, path)


def _failing(verb):
    def call(self, path, *more):
        self._fail(verb, path)
        return getattr(MemoryDisk, verb)(self, path, *more)

    return call


for _verb in ("read", "reader", "write", "append", "rename", "remove", "mkdir"):
    setattr(Failing, _verb, _failing(_verb))
WRITES = ("write", "append", "rename", "remove", "mkdir")


def disk_of(files, verbs, number, times=None):
    disk = Failing(files)
    disk.broken, disk.times = dict.fromkeys(verbs, number), times
    return disk


@pytest.fixture(scope="module")
def files():
    disk = MemoryDisk()
    demo.write(disk)
    return dict(disk.files)


@pytest.fixture(scope="module")
def started(files):
    """The files of a device that was on before."""
    disk = MemoryDisk(files)
    Bare(disk, Panel(128, 64, 1)).run(6)
    return dict(disk.files)


@pytest.mark.parametrize("number", [errno.EROFS, errno.EIO, errno.EINVAL])
@pytest.mark.parametrize("verbs", [("mkdir",), WRITES], ids=["mkdir", "all writing"])
def test_the_light_goes_on(files, verbs, number):
    device = Bare(disk_of(files, verbs, number), Panel(128, 64, 1))
    assert [f.name for f in device.app.show.rig.fixtures][:2] == ["Key", "Fill"]
    device.run(0.5)
    assert any(device.line.slots)  # what was on at power-down
    assert "nothing can be saved" in device.app.screen.message
    before = bytes(device.line.slots)
    device.turn(5)
    device.run(8)
    assert bytes(device.line.slots) != before
    for page in ("looks", "rig", "run", "effects", "slate", "meter", "groups", "shows", "settings", "feed", "captures"):
        device.app.open(page)
        device.run(0.1)
    device.app.try_to(device.app.show.save_rig)
    device.app.open("rig")
    device.turn(-1)
    left = set(device.board.disk.files)
    assert set(files) <= left and not any(name.endswith(".bad") for name in left)


@pytest.mark.parametrize("number", [errno.EROFS, errno.EIO])
def test_what_cannot_be_saved_is_said_in_words(files, number):
    disk = disk_of(files, WRITES, number)
    device = Bare(disk, Panel(128, 64, 1))
    device.run(5)
    device.app.show.rig.add("dim", "One more")
    device.app.try_to(device.app.show.save_rig)
    assert "nothing can be saved" in device.app.screen.message
    assert disk.files == files


def test_one_error_on_reading_is_no_damage(files):
    disk = disk_of(files, ("read",), errno.EIO, 1)
    obj, fault = file_store.load(disk, "shows/demo/rig.json")
    assert obj and fault is None and disk.times == 0
    assert disk.files == files


def test_a_file_that_cannot_be_read_stays_where_it_is(files):
    """Its last good copy is used, and named; once flash gives the file again, it is there."""
    path = "shows/demo/rig.json"
    disk = Failing({**files, path + "~": files[path]})
    before = dict(disk.files)
    read = MemoryDisk.read

    def failing(self, what):
        if what == path:
            raise OSError(errno.EIO, what)
        return read(self, what)

    disk.read = failing.__get__(disk)
    obj, fault = file_store.load(disk, path)
    assert len(obj["fixtures"]) == 6
    assert fault == path + " cannot be read (error 5): the last good copy is used"
    assert disk.files == before
    del disk.read
    assert file_store.load(disk, path)[1] is None


def test_half_a_show_that_cannot_be_moved_does_not_end_the_start(files):
    disk = Failing({**files, "shows/half+/rig.json": b"{}"})
    disk.broken = dict.fromkeys(WRITES, errno.EIO)
    shelf = Shelf(disk)
    assert shelf.idents() == ["demo"]
    assert any("half+" in fault for fault in shelf.faults)


def test_a_write_that_fails_half_way_leaves_the_file(files):
    """The new copy cannot take its place: the old one is back."""
    path = "shows/demo/rig.json"
    disk = Failing(files)
    rename = MemoryDisk.rename

    def failing(self, old, new):
        if old.endswith("+"):
            raise OSError(errno.EIO, old)
        rename(self, old, new)

    disk.rename = failing.__get__(disk)
    with pytest.raises(OSError, match="nothing can be saved"):
        file_store.save(disk, path, {"next": 1, "fixtures": [], "personalities": []})
    assert disk.files == files


def listing_fails(disk, folders=None):
    """A disk of which some folders (None: all) cannot be listed."""
    whole = disk.list

    def failing(path=""):
        if folders is None or path in folders:
            raise OSError(errno.EIO, path)
        return whole(path)

    disk.list = failing
    return disk


@pytest.mark.parametrize("folders", [None, ("",), ("shows",), ("shows/demo",), ("shows/demo/looks",), ("trash",)])
def test_folders_that_cannot_be_listed_cost_no_light(started, folders):
    disk = listing_fails(MemoryDisk(started), folders)
    device = Bare(disk, Panel(128, 64, 1))
    rig = [f.name for f in device.app.show.rig.fixtures]
    assert rig[:2] == ["Key", "Fill"]
    device.run(0.5)
    assert any(device.line.slots)
    if folders != ("trash",):  # that is looked at in an idle moment
        assert "cannot be" in device.app.screen.message
    before = bytes(device.line.slots)
    device.turn(5)
    device.run(30)  # longer than until the first chores
    assert bytes(device.line.slots) != before
    told = [what for _at, what, _where in device.app.log.entries()]
    assert any("cannot be listed (error 5)" in what or "cannot be read (error 5)" in what for what in told)
    left = {name: data for name, data in disk.files.items() if not name.startswith(("state/", "faults"))}
    assert left == {name: data for name, data in started.items() if not name.startswith("state/")}
    device = Bare(MemoryDisk(disk.files), Panel(128, 64, 1))
    assert [f.name for f in device.app.show.rig.fixtures] == rig
    assert len(device.app.show.looks) == 4


def test_shows_that_cannot_be_listed_are_not_begun_anew(files):
    """Not even which show was open is known: an empty one is on, and nothing is written."""
    files = {name: data for name, data in files.items() if name != "shelf.json"}
    disk = listing_fails(MemoryDisk(files))
    shelf = Shelf(disk)
    show = shelf.open()
    assert show.read_only
    assert len(show.rig) == 0
    assert disk.files == files


def test_a_look_that_cannot_be_read_stays(files):
    """An error on reading says nothing about the look: in an idle moment it does not leave the order, and asked for, it
    says so in words."""
    disk = Failing(files)
    device = Bare(disk, Panel(128, 64, 1))
    device.run(1)
    disk.broken = {"reader": errno.EIO}
    looks = device.app.show.looks
    names = looks.names()
    with pytest.raises(ValueError, match="Evening cannot be read .error 5."):
        looks.recall("Evening")
    device.run(60)
    assert looks.names() == names
    disk.broken = {}
    looks = Bare(disk, Panel(128, 64, 1)).app.show.looks
    assert [len(looks.recall(name)[0]) for name in looks.names()] == [6] * 4
    assert looks.faults == []


def test_a_page_that_counts_the_disk_gives_way_to_home_where_flash_fails(started):
    disk = Failing(started)
    device = Bare(disk, Panel(128, 64, 1))
    device.run(1)
    device.app.open("storage")
    listing_fails(disk)
    device.run(3)
    assert device.app.page_name == "home"
    lit = bytes(device.line.slots)
    device.tap("black")
    assert bytes(device.line.slots) != lit


def test_a_write_that_fails_at_once_leaves_the_file_and_the_copy_before_it(files):
    """The last good copy does not take the place of the newer one, which was never moved."""
    path = "shows/demo/rig.json"
    disk = Failing(files)
    file_store.save(disk, path, {"next": 1, "fixtures": [], "personalities": []})
    before = dict(disk.files)
    assert path + "~" in before
    disk.broken = {"write": errno.EIO}
    with pytest.raises(OSError, match="nothing can be saved"):
        file_store.save(disk, path, {"next": 2, "fixtures": [], "personalities": []})
    assert disk.files == before


@pytest.mark.parametrize("page", [("run_add",), ("feed_lost",), ("look", "Moonlight")])
def test_a_page_that_names_a_look_goes_on_where_that_turns_out_to_be_damaged(started, page):
    """An idle moment finds the damage while the page is open; it is drawn, and each of its rows can be pushed."""
    path = "shows/demo/looks/0.log"
    log = bytearray(started[path])
    at = log.index(b"Moonlight")
    log[at + 12] ^= 255
    for row in range(8):
        device = Bare(MemoryDisk(started), Panel(128, 64, 1))
        device.app.open(*page)
        device.board.disk.files[path] = bytes(log)
        device.turn(row)
        for _ in range(10):
            device.app.show.looks.prove()
        assert "Moonlight" not in device.app.show.looks.names()
        device.app.screen.touch()
        device.run(0.5)
        device.press()
        device.run(0.5)
        device.press()
        device.run(0.5)
