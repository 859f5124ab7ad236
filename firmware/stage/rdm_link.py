"""The line shared by conversations with lamps (firmware/wire/rdm_talk.py): one exchange after the other, and a DMX512
packet between any two. Made by the pages that ask lamps; loaded and dropped with them.
"""

from micropython import const

from firmware.parts import Part
from firmware.wire.rdm_talk import Talk

_ASKS, _PACKET, _WINDOW, _WAIT = const(0), const(1), const(2), const(3)  # of a job: a list


class Link:
    """`talk`: the wire's Talk, with its counts; `busy`: how many conversations are going on."""

    def __init__(self, board):
        """Errors: ValueError: this board's line cannot ask lamps, or not now; MemoryError."""
        line = board.lines[0]
        if not line.rdm:
            raise ValueError("This board cannot ask lamps: its port has no RDM")
        self._part = Part(line.rdm)
        self._port = self._part.make("Rdm", line, board.chip)
        self.talk = Talk()
        self._jobs = []
        self._asking = None

    @property
    def busy(self):
        return len(self._jobs)

    def do(self, conversation, soon=False):
        """Hold a conversation. soon: before those that are going on."""
        job = [conversation, None, 0, 0]
        if soon:
            self._jobs.insert(0, job)
        else:
            self._jobs.append(job)
        self._go_on(job, None)

    def step(self, ms):
        """Go on. ms: since the last call."""
        if self._asking:
            heard = self._port.heard()
            if heard is None:
                return
            job, self._asking = self._asking, None
            self._go_on(job, heard)
        for job in list(self._jobs):
            job[_WAIT] = max(0, job[_WAIT] - ms)
            if job[_PACKET] is None and not job[_WAIT]:
                self._go_on(job, None)
        for job in self._jobs:
            if job[_PACKET] is not None:
                self._asking = job
                self._port.send(job[_PACKET], job[_WINDOW])
                return

    def close(self, last=None):
        """Let the line go. last: a request that still goes out, whoever answers, or None. May take as long as two
        exchanges, 0.1 s."""
        if self._port:
            self._port.close(last)
            self._port = None
            self._part.close()

    def _go_on(self, job, heard):
        """Hand a conversation what it waits for."""
        try:
            said = job[_ASKS].send(heard)
        except StopIteration:
            self._jobs.remove(job)
            return
        if isinstance(said, int):
            job[_PACKET], job[_WAIT] = None, said
        else:
            job[_PACKET], job[_WINDOW] = said, self.talk.window_us(said)
