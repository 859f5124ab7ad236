"""A desk that feeds the device and asks it by RDM: what answers, and when, while the device is fed, worked and drawn.
Times are ANSI E1.20's for a responder (from memory): an answer begins 176 us to 2.0 ms after the request."""

import random

from firmware.show import device_settings, file_format
from sim import rdm_desk, wave
from tests.chip import shows
from tests.chip.checks_start import ended
from tests.chip.device import Device
from tests.rdm import edges
from tests.rdm.test_responder import asked, branch

NAMED = "pico_tft", "full"
_EARLY_NS, _LATE_NS = 176_000, 2_000_000
_SET_MS = 6  # left to an answer


class Exchange:
    """A request into the port in, with a packet of 512 slots before it, and what the pins did: `wait`: ns from its end
    to the answer's first fall, None for silence; `driver`: ns from its end until that is on; `slots`."""

    def __init__(self, device, packet, dice):
        chip, port = device.chip, device.board.LINES[1]
        tx, enable = chip.edges[port["tx"]], chip.edges[port["drive"]]
        frame, end = wave.packet(chip.ns + 100_000, dice.randbytes(512))
        request, _end = wave.packet(end + 100_000, packet[1:], 200, 20, packet[0])
        chip.drive_all(port["rx"], [(ns - chip.ns, level) for ns, level in frame + request])
        end += 100_000 + 220_000 + 44_000 * len(packet)
        device.run((end - chip.ns) / 1e6 + _SET_MS)
        driven = [ns for ns, _level in enable if ns > end - 1_000_000]
        self.wait, self.driver, self.slots = None, None, b""
        if driven:
            sent = [edge for edge in tx if driven[0] <= edge[0] <= driven[-1]]
            self.wait, self.driver = sent[0][0] - end, driven[0] - end
            led = sent[1][0] - sent[0][0] > 88_000
            self.slots = edges.packets([*sent, (driven[-1] + 1, 0)])[0][3] if led else edges._slots(sent)[0]
        del tx[:], enable[:]


def answers(report, uf2, long):
    """All of it. long: for longer."""
    there, _was = shows.files(*NAMED)
    kit = dict(device_settings.defaults(), rdm=1)
    device = Device(uf2, *NAMED, files=there | {"kit.json": bytes(file_format.seal(kit, file_format.SCHEMA))})
    for end in ("tx", "drive"):
        device.chip.watch(device.board.LINES[1][end])
    device.chip.drive(device.board.LINES[1]["rx"], 1)
    device.start()
    device.run(500)
    dice, waits, drivers, lost = random.Random(3), [], [], 0
    again = 0
    uid = rdm_desk.decoded(Exchange(device, branch(0, (1 << 48) - 2), dice).slots)
    report.check("a desk finds the device", uid is not None and uid >> 24 == 0x7FF05A, f"{uid or 0:012X}")
    kinds = ((0x20, 0x60, b""), (0x20, 0x82, b""), (0x30, 0x82, b"y" * 32), (0x30, 0x1000, b"\0"), (0x20, 0x1234, b""))
    for n in range(200 if long else 40):
        if n % 3 == 0:
            device.turn(dice.choice((1, -1, 2)))
        packet = branch(0, uid) if n % 6 == 5 else asked(*kinds[n % 6], to=uid)
        heard = Exchange(device, packet, dice)
        if heard.wait is None:  # flash was written just then: a desk asks again
            again, heard = again + 1, Exchange(device, packet, dice)
        lost += heard.wait is None or n % 6 < 5 and not rdm_desk.answers(packet, heard.slots)
        if heard.wait is not None:
            waits.append(heard.wait)
            drivers.append(heard.driver)
    waits.sort()
    told = f"{waits[0] / 1e6:.2f} to {waits[-1] / 1e6:.2f} ms, median {waits[len(waits) // 2] / 1e6:.2f}; "
    report.check("every request is answered rightly", not lost and again <= len(waits) // 20,
                 f"{len(waits)}, of which {lost} not, and {again} when asked again")
    report.check("in E1.20's time", min(drivers) >= _EARLY_NS and waits[-1] <= _LATE_NS, told + "full show, fed")
    ended(report, device)
