"""Pieces for the 32-bit VM, divided by lines "# ---"; the heap is read after each: a stage of 40 lamps, the feed on, a
recording beside it, and in its place a capture that plays. Run by tests/bench/capture.py."""

import gc

gc.threshold(4096)


class NoDisk:
    """Room for one capture, and nothing else."""

    def __init__(self):
        self.data = bytearray()

    def free(self):
        return 1 << 20, 1 << 20

    def read(self, path):
        raise OSError(2, path)

    def list(self, path=""):
        return []

    def mkdir(self, path):
        """Nothing to make."""

    def write(self, path, data):
        self.data = bytearray(data)

    def append(self, path, data):
        self.data.extend(data)

    def length(self, path):
        return len(self.data)

    def read_part(self, path, at, buffer):
        part = self.data[at:at + len(buffer)]
        buffer[:len(part)] = part
        return len(part)


from firmware.show.show import Show  # noqa: E402
from firmware.stage.stage import Stage  # noqa: E402

disk = NoDisk()
show = Show(disk, "s")
for n in range(40):
    show.rig.add(("dim", "tint16", "rgbw", "full")[n % 4])
stage = Stage(show)
stage.step(0)
# ---
from firmware.stage.feed import Feed  # noqa: E402

feed = Feed(stage, None, {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}}, 0)
# ---
from firmware.parts import Part  # noqa: E402

recorder = Part("firmware.stage.capture_recorder")
feed.record(recorder.make("CaptureRecorder", disk, 0))
# ---
feed.recorder.begin(1, "1", 0)
feed.recorder.add(bytes(512), 0, 4)
feed.recorder.end()
feed.record(None)
recorder.close()
from firmware.stage.capture_player import CapturePlayer  # noqa: E402

about = {"name": "1", "start": 0, "end": 0, "fade_in": 0, "fade_out": 0, "loop": 0}
feed.play(0, CapturePlayer(disk, "1", about, 0))
