"""Reads a VCD of the line with sigrok's dmx512 decoder: a program that knows nothing of ours."""

import re
import shutil
import subprocess

import pytest


def packets(path):
    """[(start code, slots)] of every packet the decoder sees. Errors: AssertionError where it sees a bit error.
    Skips where sigrok is not installed."""
    if shutil.which("sigrok-cli") is None:
        pytest.skip("sigrok-cli is not installed (Debian package sigrok-cli)")
    command = ["sigrok-cli", "-I", "vcd", "-i", str(path), "-P", "dmx512:dmx=dmx",
               "-A", "dmx512=break:startcode:channel:data:error"]
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    found, expect = [], None
    for line in said.splitlines():
        words = line.split(": ", 1)[1]
        value = re.fullmatch(r"(\d+) / 0x[0-9a-f]+", words)
        if words == "Break":
            found.append([None, []])
        elif words == "Start code":
            expect = "start"
        elif words.startswith("Channel "):
            assert int(words.split()[1]) == len(found[-1][1]) + 1, "the decoder lost count of the slots"
            expect = "slot"
        elif value and expect == "start":
            found[-1][0] = int(value[1])
        elif value:
            found[-1][1].append(int(value[1]))
        else:
            raise AssertionError(f"sigrok says: {line}")
    return [(code, bytes(slots)) for code, slots in found if code is not None]
