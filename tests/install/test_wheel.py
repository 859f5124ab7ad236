"""The wheel in a virtual environment that has it and what it asks for, and nothing else."""

import importlib.metadata
import pathlib
import re
import subprocess
import sys
import urllib.request
import venv
import zipfile

import pytest
from packaging.requirements import Requirement

from firmware.app import VERSION
from tests.host.vm_board import VM, VmBoard

ROOT = pathlib.Path(__file__).parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel of this checkout, built without a network."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--disable-pip-version-check", "--no-deps",
               "--no-build-isolation", "-w", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """A virtual environment with the wheel, and the packages that its metadata asks for, from here: its folder."""
    folder = tmp_path_factory.mktemp("venv")
    venv.create(folder, with_pip=False)
    command = [sys.executable, "-m", "pip", "--python", str(folder / "bin/python"), "install", "-q", "--no-deps",
               "--no-index", "--disable-pip-version-check", str(wheel)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    site = next(folder.glob("lib/python*/site-packages"))
    for name in needed(next(site.glob("halfstop-*.dist-info")) / "METADATA"):
        link(importlib.metadata.distribution(name), site)
    return folder


def needed(metadata):
    """Names of the distributions that a METADATA file asks for, and those that these ask for; no extras."""
    text = metadata.read_text()
    todo, found = re.findall(r"^Requires-Dist: (.*)$", text, re.MULTILINE), set()
    while todo:
        one = Requirement(todo.pop())
        if one.name in found or one.marker and not one.marker.evaluate({"extra": ""}):
            continue
        found.add(one.name)
        todo += importlib.metadata.requires(one.name) or []
    return found


def link(distribution, site):
    """Put an installed distribution into another site-packages."""
    for top in {file.parts[0] for file in distribution.files if file.parts[0] != ".."}:
        if not (site / top).exists():
            (site / top).symlink_to(distribution.locate_file(top))


def halfstop(installed, *words, **options):
    """Run the installed command."""
    command = [str(installed / "bin/halfstop"), *words]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd=installed, **options)


def test_site_packages_gains_one_package(wheel):
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
    assert {name.split("/")[0] for name in names} == {"halfstop", f"halfstop-{VERSION}.dist-info"}
    assert not [name for name in names if "__pycache__" in name or "/tests/" in name]


def test_all_sources_and_the_page_are_in_it(wheel):
    tracked = subprocess.run(["git", "ls-files", "firmware", "hal", "boards", "sim", "host"], cwd=ROOT,
                             capture_output=True, text=True, check=False).stdout.split()
    if not tracked:
        pytest.skip("this is no git checkout")
    with zipfile.ZipFile(wheel) as archive:
        there = set(archive.namelist())
    assert {name for name in tracked if (ROOT / name).exists()} <= {name.removeprefix("halfstop/") for name in there}


def test_it_says_its_version_and_its_verbs(installed):
    assert halfstop(installed, "--version").stdout == f"halfstop {VERSION}\n"
    said = halfstop(installed, "--help").stdout
    for verb in ("sim", "flash", "backup", "restore", "import", "status"):
        assert re.search(rf"^  {verb} ", said, re.MULTILINE), verb
    assert "Exit status" in halfstop(installed, "flash", "--help").stdout


def test_the_simulator_answers(installed):
    command = [str(installed / "bin/halfstop"), "sim", "--no-open", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=installed) as sim:
        try:
            said = sim.stdout.readline()
            assert "http://127.0.0.1:" in said, said + sim.stdout.read()
            with urllib.request.urlopen(said.split()[4], timeout=10) as page:
                assert "<title>Halfstop simulator</title>" in page.read().decode()
        finally:
            sim.terminate()


def test_flash_would_copy_the_firmware(installed, tmp_path):
    if not VM.exists():
        pytest.skip("the unix MicroPython VM is not installed")
    with VmBoard(tmp_path, machine="Invented board with RP2350") as board:  # an RP2040's short names take longer
        done = halfstop(installed, "flash", "--port", board.port, "--dry-run")
        assert done.returncode == 0, done.stderr
        assert re.search(r"^  copy   halfstop\.mpy  [\d,]{7,}$", done.stdout, re.MULTILINE), done.stdout
        assert board.files() == {}


def test_bash_completes_verbs_and_options(installed):
    """Completion by bash itself, as the Tab key asks for it."""
    script = halfstop(installed, "completion", "bash").stdout
    ask = '\nCOMP_WORDS=({0}); COMP_CWORD={1}; _shtab_halfstop; echo "${{COMPREPLY[@]}}"'
    done = subprocess.run(["bash", "-c", script + ask.format("halfstop fl", 1) + ask.format("halfstop flash --dr", 2)],
                          capture_output=True, text=True, check=False)
    assert done.stdout.split() == ["flash", "--dry-run"], done.stderr
