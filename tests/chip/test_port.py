"""The USB port's two forms, on a stand-in for the chip that says back what it hears."""

import os
import select
import termios

import pytest

from tests.chip.port import Console, Terminal


class Echo:
    """What port.py asks of a chip. Takes 64 bytes a millisecond, as a busy chip does."""

    def __init__(self):
        self.said, self.ns, self.powered, self._typed = bytearray(), 0, True, bytearray()

    @property
    def typing(self):
        return len(self._typed)

    def type(self, data):
        self._typed += data

    def run(self, ms, until=lambda: False):
        end = self.ns + ms * 1_000_000
        while self.ns < end and not until():
            self.ns += 1_000_000
            self.said += self._typed[:64]
            del self._typed[:64]

    def power_cut(self):
        self.powered = False


def test_console_runs_the_chip_only_while_somebody_waits():
    chip = Echo()
    console = Console(chip, timeout=0.05)
    assert console.write(bytes(range(256)) * 40) == 10_240
    assert chip.typing <= 4096, "the rest is held back until the chip takes it"
    console.flush()
    assert console.in_waiting == 10_240
    assert console.read(10_240) == bytes(range(256)) * 40
    before = chip.ns
    assert console.read(1) == b"" and chip.ns - before == 50_000_000, "the timeout is in the chip's time"


def test_a_terminal_carries_both_ways_and_hangs_up():
    chip, sent, back = Echo(), os.urandom(5_000), b""
    with Terminal(chip) as terminal:
        host = os.open(terminal.port, os.O_RDWR | os.O_NOCTTY)
        try:
            os.write(host, sent)
            while len(back) < len(sent):
                assert select.select([host], [], [], 10)[0], f"{len(back)} bytes came"
                back += os.read(host, 4096)
            terminal.unplug()
            with pytest.raises((OSError, termios.error)):
                while select.select([host], [], [], 10)[0] and os.read(host, 1):
                    pass
                raise OSError("the end of file is a hang-up too")
        finally:
            os.close(host)
    assert back == sent and not chip.powered


def test_what_fails_in_the_thread_is_told():
    chip = Echo()
    chip.run = lambda _ms: 1 // 0
    with pytest.raises(ZeroDivisionError), Terminal(chip):
        pass
