"""The board's entry point: the hello line, the watchdog, and a crash that is kept and followed by a restart."""

from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner


def test_a_crash_is_kept_and_the_chip_restarts_with_the_light_on(tmp_path):
    demo.write(FolderDisk(str(tmp_path)))
    said = runner.run("tests/vm/crash.py", tmp_path, heap="1m").rstrip().split("\n")
    assert said[0].startswith("halfstop ")
    assert said[0].endswith(" bare")
    calls, faults, slots = said[-3:]
    assert calls == "['watchdog 8000', 'watchdog 2000', 'restart']"  # while it starts, and then
    assert "RuntimeError('a bug',)" in faults
    assert "crash.py" in faults  # where it happened
    assert bytes.fromhex(slots)[0] == 128  # the Key of the demo's first look was on the line: one stop under full


def test_the_firmware_before_goes_once_this_one_has_started(tmp_path):
    demo.write(FolderDisk(str(tmp_path)))
    (tmp_path / "halfstop_old.mpy").write_bytes(b"the firmware before")
    runner.run("tests/vm/crash.py", tmp_path, heap="1m")
    assert not (tmp_path / "halfstop_old.mpy").exists()
