"""What was done to the device since power-up, as a script for `Bench` that leads to the same frames.

The page's server notes every input with the virtual time at which it came; `script` writes them down.
"""

from firmware.universe import SLOTS

_MOST = 20_000  # inputs; after that the recording ends

_IMPORTS = ("from sim import Bench", "from firmware.show import rig_edit")


class Recorder:
    """A list of (ms, call) since power-up. call is Python for a Bench named b."""

    def __init__(self):
        self.calls = []
        self.full = False

    def note(self, ms, call):
        """Note an input at a virtual time in ms."""
        if len(self.calls) >= _MOST:
            self.full = True
            return
        self.calls.append((ms, call))

    def text(self):
        """For the page: how much was recorded."""
        text = f"{len(self.calls)} inputs since the start"
        return text + "; no more are kept" if self.full else text

    def script(self, machine, ms):
        """The whole Python file, up to now (ms). machine: as in sim/session.py."""
        lines = ['"""Recorded in the simulator: replays what was done, and compares the last frame."""', ""]
        frame = machine.frame
        if machine.begun_with is None:
            lines += list(_IMPORTS) + ["", f"with Bench(board={machine.board!r}, show={machine.show!r}) as b:"]
        else:
            lines += list(_IMPORTS) + ["from sim.disk import MemoryDisk", "", "FILES = {"]
            lines += [f"    {path!r}: {data!r}," for path, data in sorted(machine.begun_with.items())]
            lines += ["}", "", f"with Bench(board={machine.board!r}, show=None, disk=MemoryDisk(FILES)) as b:"]
        at = 0
        for when, call in self.calls + [(ms, None)]:
            if when > at:
                lines.append(f"    b.run({(when - at) / 1000:g})")
                at = when
            if call:
                lines.append("    " + call)
        used = len(frame.rstrip(b"\0"))
        lines += [
            f'    wanted = bytes.fromhex("{frame[:used].hex()}")',
            f"    assert b.frame == wanted + bytes({SLOTS - used}), b.frame[:{max(used, 16)}].hex()",
            '    print("the same frame")',
            "",
        ]
        return "\n".join(lines)
