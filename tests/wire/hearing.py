"""Hears one waveform with the chip's receiver and with the desktop's twin. For test_line_in and the bench wire_in."""

from hal.receiver import Receiver
from sim import wave


class Chips:
    """A LineIn on one emulated chip, used again for each waveform."""

    def __init__(self, chip):
        self.chip = chip
        self.line_in = chip.module("line_in").LineIn(4, 5)
        chip.play(5, [])

    def hear(self, edges):
        """(slots handed up or None, the counts) for a waveform heard from a fresh start."""
        chip, line_in = self.chip, self.line_in
        line_in.receiver = Receiver()
        chip.play(5, [(ns + chip.ns, level) for ns, level in edges])
        line_in.listen(True)
        end, found = chip.ns + edges[-1][0] + 5_000_000, None
        while chip.ns < end:
            chip.run(2_000)
            packet = line_in.take()
            found = found if packet is None else bytes(packet)
        line_in.listen(False)
        return found, line_in.receiver.counts


def twin(edges):
    """The same by the desktop's receiver."""
    receiver = Receiver()
    wave.Ear(receiver).hear(edges)
    packet = receiver.take(0)
    return None if packet is None else bytes(packet), receiver.counts
