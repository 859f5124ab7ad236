"""Runs on the unix VM: lamps on a line of its own are found, taken into the rig and set. Then the Light page is open
again, and what RDM took of the heap is given back. Argument: FOLDER, the device's disk."""

import gc
import sys

sys.path.insert(0, ".")
gc.threshold(12288)  # while modules load, as in firmware/main.py
import sim.vm  # noqa: E402
from firmware.wire import rdm, rdm_pids  # noqa: E402
from hal.disk import Disk  # noqa: E402


class Lamp:
    """A dimmer of one slot that answers what a search and the rig ask."""

    def __init__(self, uid, name):
        self.uid, self.name, self.address, self.muted = uid, name, 100, False

    def answer(self, asked):
        pid, kind = rdm.word(asked, rdm.PID_AT), asked[rdm.CLASS_AT]
        if pid == rdm.UN_MUTE:
            self.muted = False
            return b""
        if pid == rdm.UNIQUE_BRANCH:
            inside = rdm.uid(asked, rdm.DATA_AT) <= self.uid <= rdm.uid(asked, rdm.DATA_AT + 6)
            return rdm.encode(self.uid) if inside and not self.muted else b""
        if rdm.uid(asked, rdm.TO_AT) != self.uid:
            return b""
        out = b""
        if pid == rdm.MUTE:
            self.muted, out = True, b"\0\0"
        elif pid == rdm_pids.DEVICE_INFO:
            out = bytes((1, 0, 0, 7, 1, 1, 0, 0, 0, 1, 0, 1, 1, 1, 0, self.address, 0, 0, 0))
        elif pid == rdm_pids.LABEL:
            out = self.name.encode()
        elif pid == rdm_pids.START_ADDRESS and kind == rdm.SET:
            self.address = asked[rdm.DATA_AT + 1]
        return rdm.packet(rdm.uid(asked, rdm.FROM_AT), self.uid, asked[rdm.NUMBER_AT], 0, 0, kind + 1, pid, out)


lamps = [Lamp(0x7FF500000001, "Heron"), Lamp(0x7FF5A0000002, "Bittern")]


class Port:
    """In place of a port's module: its Rdm."""

    @staticmethod
    def Rdm(line, chip):  # noqa: N802  (hal/contract.py's name)
        return Port()

    def send(self, packet, window_us):
        said = [answer for answer in [lamp.answer(bytes(packet)) for lamp in lamps] if answer]
        self._heard = said[0] if len(said) == 1 else b"\x55\x55" if said else b""

    def heard(self):
        return self._heard

    def close(self, last=None):
        self._heard = None


def used():
    gc.collect()
    gc.collect()
    return gc.mem_alloc()


device = sim.vm.Bare(Disk(sys.argv[1]), sim.vm.Panel(128, 64, 1))
sys.modules["a_port"] = Port
app, rig = device.app, device.app.show.rig
app.board.lines[0].rdm = "a_port"
weights = []
for _ in range(3):
    app.open("rdm")
    device.run(5)
    open_weight = used()
    app.open("light")
    device.run(1)
    weights.append(used())
print("names", weights[1] - weights[0], "again", weights[2] - weights[1], "open", open_weight - weights[2])
before = used()
app.open("rdm")
device.run(8)
print("found", [lamp.name for lamp in app.page.lamps.found])
device.press()
device.run(3)
device.turn(1)
device.press()
device.run(3)
print("set", [(lamp.name, lamp.address) for lamp in lamps], [f.ticked() for f in rig.fixtures[-2:]])
app.open("light")
device.run(1)
app.undo.clear()
print("kept", used() - before)
print("loaded", sorted([name for name in sys.modules if "rdm" in name]))
