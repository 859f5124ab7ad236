"""Two universes on the real MicroPython VM, compiled as it is shipped."""

from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner


def test_two_ports_are_sent_to_with_the_heap_locked(tmp_path):
    demo.write(FolderDisk(str(tmp_path)))
    said = runner.run("tests/vm/two_ports.py", runner.tree(), tmp_path, heap="1m")
    assert said.strip().split("\n")[-1] == "ok"
