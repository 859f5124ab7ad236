"""What is no image for the emulated chip is refused in words, before anything boots."""

import struct
import subprocess
import sys

import pytest

from tests.chip import image

TEXT = b"3.4.0; MicroPython v1.28.0 on 2026-11-27\0Raspberry Pi Pico with RP2040\0"


def uf2(path, text=TEXT, family=image.RP2040):
    """One block, as microsoft/uf2's README lays it out (from memory)."""
    head = struct.pack("<8I", *image.MAGIC[:2], image.HAS_FAMILY, 0x10000000, 256, 0, 1, family)
    path.write_bytes(head + text.ljust(476, b"\0") + struct.pack("<I", image.MAGIC[2]))
    return path


def test_an_image_for_the_pico_says_its_version(tmp_path):
    assert image.version(uf2(tmp_path / "a.uf2")) == "v1.28.0 on 2026-11-27"


@pytest.mark.parametrize("text, family, words", [
    (TEXT.replace(b"1.28", b"1.25"), image.RP2040, "too old"),
    (TEXT.replace(b"v1.28", b"v1.9"), image.RP2040, "too old"),
    (TEXT, 0xE48BFF59, "RP2350"),
    (TEXT, 0x12345678, "0x12345678"),
    (TEXT.replace(b"Pico with", b"Pico W with"), image.RP2040, "another board"),
    (b"something else", image.RP2040, "no MicroPython"),
])
def test_another_image_is_refused(tmp_path, text, family, words):
    with pytest.raises(image.NotUsable, match=words):
        image.version(uf2(tmp_path / "a.uf2", text, family))


def test_a_file_that_is_no_uf2_is_refused(tmp_path):
    path = tmp_path / "a.uf2"
    for data in (b"", b"hello", bytes(512)):
        path.write_bytes(data)
        with pytest.raises(image.NotUsable, match="no UF2 file"):
            image.version(path)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(image.NotUsable, match="No such file"):
        image.version(tmp_path / "none.uf2")


def test_the_command_says_so_and_fails(tmp_path):
    told = subprocess.run([sys.executable, "-m", "tests.chip", str(tmp_path / "none.uf2")], capture_output=True,
                          text=True, timeout=60)
    assert told.returncode == 2 and "No such file" in told.stderr and "Traceback" not in told.stderr
