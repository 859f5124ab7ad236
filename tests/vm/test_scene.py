"""The main job on the real MicroPython VM with a small heap: the same frames, byte for byte, as on CPython."""

import pytest

import sim.vm
from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner

# Dial three lamps, store a look, go to two looks, cut one fade off with another, black, all full, crossfade by hand.
SCENE = """
run 0.5
frame
turn 40
frame
push_turn 2
turn 45
press
turn -17
frame
hold push
press
turn 2
press
frame
tap look
turn 1
press
run 0.8
frame
run 2.7
frame
turn 2
press
run 3.3
frame
tap black
run 0.1
frame
tap black
run 6
frame
key_down look
run 1
frame
key_up look
run 0.1
frame
hold push
press
turn 20
frame
turn -5
frame
"""


@pytest.fixture(scope="module")
def script(tmp_path_factory):
    path = tmp_path_factory.mktemp("scene") / "script.txt"
    path.write_text(SCENE)
    return path


def own(tmp_path, script, capsys):
    """The frames on CPython: list of "frame HEX"."""
    disk = FolderDisk(str(tmp_path))
    demo.write(disk)
    sim.vm.main(disk, str(script))
    return capsys.readouterr().out.split("\n")


def test_the_scene_moves(tmp_path, script, capsys):
    frames = [line for line in own(tmp_path, script, capsys) if line]
    assert len(frames) == SCENE.count("frame")
    assert len(set(frames)) == len(frames) - 1  # storing changes nothing; all other frames differ


def test_the_unix_vm_gives_the_same_frames_in_240_kb(tmp_path, script, capsys):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    demo.write(FolderDisk(str(tmp_path / "b")))
    said = runner.run("tests/vm/scene.py", tmp_path / "b", script, heap="240k")
    assert said.split("\n") == own(tmp_path / "a", script, capsys)


@pytest.mark.parametrize("vm", [runner.run, runner.run_wasm])
@pytest.mark.parametrize("ahead", [2600, 7000])
def test_the_same_frames_after_six_days(tmp_path, script, capsys, vm, ahead):
    """The app moves its time back, in the middle of the scene: each VM gives the frames of a new device."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    demo.write(FolderDisk(str(tmp_path / "b")))
    (tmp_path / "aged.txt").write_text(f"age {(1 << 29) - ahead}\n" + SCENE)
    said = vm("tests/vm/scene.py", tmp_path / "b", tmp_path / "aged.txt").split("\n")
    frames = [line for line in own(tmp_path / "a", script, capsys) if line]
    assert [line for line in said if line.startswith("frame")] == frames


@pytest.mark.parametrize("small", [False, True], ids=["as on an RP2350", "as on an RP2040"])
def test_the_32_bit_vm_gives_the_same_frames(tmp_path, script, capsys, small):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    demo.write(FolderDisk(str(tmp_path / "b")))
    said = runner.run_wasm("tests/vm/scene.py", tmp_path / "b", script, small=small).rstrip().split("\n")
    assert said[-1].startswith("heap ")
    assert said[:-1] == [line for line in own(tmp_path / "a", script, capsys) if line]
