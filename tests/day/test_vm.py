"""The pages of the day on the real VMs: the same frames as on CPython."""

import pytest

import sim.vm
from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner

# Log two takes and note one; other light; the first light back. All looks into the running order, next by foot, a jump.
# A reading by the knob, then the lamp by stops. A flame on the second lamp. Watts and lamps at one address.
SCENE = """
run 0.3
tap back
hold push
run 0.5
press
turn 1
press
turn 3
press
tap back
turn -4
press
turn 9
run 0.3
frame
tap back
turn 6
press
turn 2
press
run 0.5
press
run 1.5
frame
press
tap back
turn -4
press
press
turn 30
press
run 0.3
tap foot
run 4
frame
tap foot
run 4
frame
turn -2
press
run 0.7
frame
run 2
frame
tap back
turn 3
press
press
press
turn 5
hold push
tap back
press
turn -4
run 0.2
frame
press
tap back
turn -2
press
push_turn 1
turn 1
press
run 1.5
frame
hold push
turn 1
press
turn -4
press
run 2
frame
tap back
press
run 1.5
frame
tap back
turn 4
press
turn 30
press
press
turn 10
press
run 0.5
frame
"""


@pytest.fixture(scope="module")
def script(tmp_path_factory):
    path = tmp_path_factory.mktemp("day") / "script.txt"
    path.write_text(SCENE)
    return path


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "device"
    path.mkdir()
    demo.write(FolderDisk(str(path)))
    return path


@pytest.fixture
def own(tmp_path, script, capsys):
    """The frames on CPython."""
    disk = FolderDisk(str(tmp_path))
    demo.write(disk)
    sim.vm.main(disk, str(script))
    frames = capsys.readouterr().out.split()
    assert len(set(frames)) >= 8  # of them one is the word
    assert (tmp_path / "shows/demo/slate/00.log").exists() and (tmp_path / "shows/demo/run.json").exists()
    assert (tmp_path / "shows/demo/effects.json").exists() and (tmp_path / "shows/demo/readings.json").exists()
    return frames


def test_the_unix_vm_gives_the_same_frames(folder, script, own):
    assert runner.run("tests/vm/scene.py", folder, script, heap="512k").split() == own


def test_the_32_bit_vm_gives_the_same_frames(folder, script, own):
    said = runner.run_wasm("tests/vm/scene.py", folder, script).rstrip().rsplit("\nheap", 1)[0]
    assert said.split() == own
