"""The page Storage: what takes the room, in blocks."""

from firmware.show import file_disk
from sim import Bench


def test_what_takes_the_room():
    with Bench(show="demo") as b:
        b.disk.mkdir("captures")
        b.disk.write("captures/1.cap", bytes(9000))
        b.app.open("storage")
        b.run(1)
        free, total = b.disk.free()
        said = {line.split()[0]: line.split(maxsplit=1)[-1] for line in b.lines if " " in line}
        assert said["Looks"] == "2"  # a folder's pair; its log is short enough to lie in it
        assert said["Captures"] == "5"  # a folder's pair, and 9,000 bytes
        assert said["Free"] == "%d of %d blocks" % ((free - file_disk.RESERVE) >> 12, total >> 12)
        assert said["Firmware"] == "0"
