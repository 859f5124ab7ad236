"""RDM on the real MicroPython VM, packed as for an RP2040."""

import re

from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner


def test_lamps_are_found_and_set_and_the_heap_is_given_back(tmp_path):
    """Nothing of RDM stays on the Light page: a second search leaves no more behind. Two more fixtures do stay."""
    (tmp_path / "disk").mkdir()
    demo.write(FolderDisk(str(tmp_path / "disk")))
    said = runner.run("tests/vm/rdm.py", tmp_path / "disk", small=True)
    assert "found ['Heron', 'Bittern']" in said
    assert "set [('Heron', 100), ('Bittern', 31)] [True, True]" in said
    assert "loaded []" in said
    assert int(re.search(r"again (-?\d+)", said)[1]) <= 64, said
    assert int(re.search(r"kept (-?\d+)", said)[1]) < 4_000, said


def test_the_pocket_answers_without_the_heap():
    """An interrupt of MicroPython's may not allocate. The counts are those of CPython, for the same requests."""
    said = runner.run("tests/vm/rdm_responder.py", runner.ROOT)
    assert said.split() == ["answered", "91", "silent", "442", "equal"]
