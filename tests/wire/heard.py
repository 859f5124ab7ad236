"""What a receiver hears on a line."""

from hal.receiver import Receiver
from sim import wave


def heard(edges):
    """(the good packets among edges: slots of each, the receiver's counts)."""
    found = []

    class Keeps(Receiver):
        def _accept(self):
            super()._accept()
            found.append(bytes(self._views[self._waiting]))

    receiver = Keeps()
    wave.Ear(receiver).hear(edges)
    return found, receiver.counts
