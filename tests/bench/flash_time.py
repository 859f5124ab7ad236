"""Files and bytes that `host flash` sends on a first and on a second run, to the unix VM with a real littlefs.

The firmware is the real one, compiled for that VM; it is not started there (its drivers want a chip).
"""

import tempfile
import time

import boards
from host import flash, link, pack
from tests.host.vm_board import VmBoard


def figures():
    """`first_*`, `second_*`: files copied, their bytes, and bytes on the cable (text and questions included)."""
    out = {}
    with tempfile.TemporaryDirectory() as folder, VmBoard(folder, blocks=512) as board:
        for run in ("first", "second"):
            begin, heard = time.monotonic(), board.heard
            plan = once(board)
            out[run + "_files"], out[run + "_bytes"] = len(plan.copy), plan.bytes
            out[run + "_cable_bytes"] = board.heard - heard
            out[run + "_seconds_here"] = round(time.monotonic() - begin, 2)
    out["note"] = "seconds are of a pseudo-terminal on this machine; a board's flash and USB are slower"
    return out


def once(board):
    """One run as host flash does it, without the restart; returns its plan."""
    port = link.connect(board.port)
    there = link.who(port)
    wanted = pack.packed(boards.load("pico_tft"), there.arch)
    plan = flash.Plan(wanted, flash.survey(port))
    room = flash.check(there, plan)
    if plan.copy:
        flash.copy(port, plan, room, lambda *_: None)
        flash.verify(port, wanted)
    port.close()
    return plan
