"""Runs on the VMs: a scripted scene on the bare board of sim/vm.py. Arguments: FOLDER SCRIPT [PANEL]."""

import gc
import sys

sys.path.insert(0, ".")
gc.threshold(12288)  # while modules load, as in firmware/main.py
import sim.vm  # noqa: E402
from hal.disk import Disk  # noqa: E402

_NUMBERS = {44: 2, 20: 17, 31: 21}  # the wasm VM's file system has error numbers of its own


class Renumbered:
    """A disk with the usual error numbers."""

    def __init__(self, disk):
        self._disk = disk

    def __getattr__(self, name):
        verb = getattr(self._disk, name)

        def call(*args):
            try:
                return verb(*args)
            except OSError as e:
                raise OSError(_NUMBERS.get(e.errno, e.errno), args) from None

        return call


class WasmDisk(Disk):
    """list and mkdir look at the number themselves."""

    def mkdir(self, path):
        """As Disk.mkdir."""
        try:
            Disk.mkdir(self, path)
        except OSError as e:
            if e.errno != 20:
                raise

    def list(self, path=""):
        """As Disk.list."""
        try:
            return Disk.list(self, path)
        except OSError as e:
            if e.errno != 44:
                raise
            return []


disk = Renumbered(WasmDisk(sys.argv[1])) if sys.platform == "webassembly" else Disk(sys.argv[1])
device = sim.vm.main(disk, *sys.argv[2:])  # kept, so that the heap can be weighed after the script
