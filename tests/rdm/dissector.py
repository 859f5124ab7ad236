"""Wireshark's own reading of RDM packets: its `rdm` dissector, told that a user's link type carries them.

That dissector is handed a packet from its sub-start code on (as a packet lies in the protocols that Wireshark knows it
from), so the start code is left out here; the checksum includes it.
"""

import json
import shutil
import struct
import subprocess

import pytest

_DLT = 147  # LINKTYPE_USER0
_USER = f'uat:user_dlts:"User 0 (DLT={_DLT})","rdm","0","","0",""'


def read(packets, path):
    """What Wireshark makes of packets -> a list of {field: value}, one each; "malformed" is among the keys of a packet
    that it cannot read. path: a file to write."""
    return [_flat(found["_source"]["layers"]) for found in json.loads(_told(packets, path, "-T", "json"))]


def names(packets, path):
    """The name that Wireshark has for the parameter of each packet."""
    lines = _told(packets, path, "-V").decode().splitlines()
    return [line.split(": ")[1].rsplit(" (", 1)[0] for line in lines if "Parameter ID: " in line]


def _told(packets, path, *how):
    if shutil.which("tshark") is None:
        pytest.skip("tshark is not installed")
    with open(path, "wb") as file:
        file.write(struct.pack("<IHHiIII", 0xA1B2C3D4, 2, 4, 0, 0, 65535, _DLT))
        for n, packet in enumerate(packets):
            assert packet[0] == 0xCC
            file.write(struct.pack("<IIII", n, 0, len(packet) - 1, len(packet) - 1) + bytes(packet[1:]))
    return subprocess.run(["tshark", "-r", str(path), "-o", _USER, *how], capture_output=True, check=True).stdout


def _flat(tree, into=None):
    into = {} if into is None else into
    for key, value in tree.items():
        if "malformed" in key:
            into["malformed"] = value
        if isinstance(value, dict):
            _flat(value, into)
        else:
            into.setdefault(key, value)
    return into
