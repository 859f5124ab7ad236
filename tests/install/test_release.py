"""`make release`: what it writes, and that its checksums are those that sha256sum finds."""

import re
import shutil
import subprocess
import tomllib
import zipfile

import pytest

from firmware.app import VERSION
from host import __main__, release, web
from tests.web.conftest import firmware


@pytest.fixture(scope="module")
def dist(tmp_path_factory):
    if not web.ZIP.exists() or not all(path.exists() for path in web.VM_FILES):
        pytest.skip("what npm brings is not there (make test fetches it)")
    folder = tmp_path_factory.mktemp("release") / "dist"
    release.build(folder, {"pico_tft": firmware("9.8.7")}, wheel=False)  # the wheel: test_wheel.py
    return folder


def test_what_is_given_away(dist):
    assert sorted(path.name for path in dist.iterdir()) == [
        "SHA256SUMS", *(f"halfstop-{VERSION}-{part}.zip" for part in ("build", "pico_tft", "web"))]
    with zipfile.ZipFile(dist / f"halfstop-{VERSION}-pico_tft.zip") as archive:
        assert archive.namelist() == ["README.txt", "halfstop.mpy", "main.py"]
        assert archive.read("halfstop.mpy") == firmware("9.8.7")["halfstop.mpy"]
    with zipfile.ZipFile(dist / f"halfstop-{VERSION}-build.zip") as archive:
        assert {"LICENSE.txt", "pico_tft/case-tub.stl", "pico_tft/build.md"} <= set(archive.namelist())
    with zipfile.ZipFile(dist / f"halfstop-{VERSION}-web.zip") as archive:
        assert {"index.html", "micropython.wasm", "firmware/pico_tft/halfstop.mpy"} <= set(archive.namelist())


def test_checksums(dist):
    if shutil.which("sha256sum") is None:
        pytest.skip("sha256sum is not installed")
    done = subprocess.run(["sha256sum", "--check", "--strict", "SHA256SUMS"], cwd=dist, capture_output=True, text=True,
                          check=False)
    assert done.returncode == 0 and done.stdout.count(": OK") == 3, done.stdout + done.stderr


def test_the_same_sources_give_the_same_bytes(dist, tmp_path):
    release.build(tmp_path / "dist", {"pico_tft": firmware("9.8.7")}, wheel=False)
    assert (tmp_path / "dist/SHA256SUMS").read_text() == (dist / "SHA256SUMS").read_text()


def test_the_version_stands_in_one_place():
    """The firmware's; the command, the wheel and the changelog follow it."""
    assert __main__.version() == VERSION
    with open(release.ROOT / "pyproject.toml", "rb") as file:
        described = tomllib.load(file)
    assert "version" not in described["project"]
    assert described["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "firmware.app.VERSION"}
    newest = re.search(r"^## (\S+)", (release.ROOT / "CHANGELOG.md").read_text(), re.MULTILINE)[1]
    assert newest == VERSION
