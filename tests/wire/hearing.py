"""Hears one waveform with the chip's receiver and with the desktop's twin. For test_hears and the bench wire_in."""

from hal.receive import Receiver
from sim import wave


class Chips:
    """An Ear on one emulated chip, used again for each waveform."""

    def __init__(self, chip):
        self.chip = chip
        self.ear = chip.module("ear").Ear(4, 5)
        chip.play(5, [])

    def hear(self, edges):
        """(slots handed up or None, the counts) for a waveform heard from a fresh start."""
        chip, ear = self.chip, self.ear
        ear.receiver = Receiver()
        chip.play(5, [(ns + chip.ns, level) for ns, level in edges])
        ear.listen(True)
        end, found = chip.ns + edges[-1][0] + 5_000_000, None
        while chip.ns < end:
            chip.run(2_000)
            packet = ear.take()
            found = found if packet is None else bytes(packet)
        ear.listen(False)
        return found, ear.receiver.counts


def twin(edges):
    """The same by the desktop's receiver."""
    receiver = Receiver()
    wave.Ear(receiver).hear(edges)
    packet = receiver.take(0)
    return None if packet is None else bytes(packet), receiver.counts
