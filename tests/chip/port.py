"""The emulated chip's USB port for the host's programs: as a serial object on the chip's own time, or as a
pseudo-terminal beside it."""

import os
import select
import termios
import threading
import time
import tty

from mpremote.transport_serial import SerialTransport

HELD = 4096  # bytes taken from the host beyond what the chip has asked for
LEAST_MS, MOST_MS = 0.1, 10  # between two looks at a silent port; mpremote sleeps 10 ms


class Console:
    """The parts of serial.Serial that mpremote and host/ use. The chip runs only while somebody waits for it, so all
    times are the chip's."""

    def __init__(self, chip, timeout=None):
        """timeout: s that read() waits on the chip's clock; None: for ever."""
        self.chip, self.timeout, self.name = chip, timeout, "emulated"
        self._at, self._poll = len(chip.said), LEAST_MS

    @property
    def in_waiting(self):
        """Bytes there are; a look at a silent port lets time pass, each time more."""
        if self._at == len(self.chip.said):
            self.chip.run(self._poll, lambda: len(self.chip.said) > self._at)
            self._poll = min(self._poll * 2, MOST_MS)
        return len(self.chip.said) - self._at

    def inWaiting(self):  # noqa: N802  pyserial's old name, which mpremote uses
        """in_waiting."""
        return self.in_waiting

    def read(self, size=1):
        """Up to `size` bytes, fewer if they have not come within the timeout."""
        if len(self.chip.said) - self._at < size:
            limit = 1e9 if self.timeout is None else self.timeout * 1000
            self.chip.run(limit, lambda: len(self.chip.said) - self._at >= size)
        found = bytes(self.chip.said[self._at : self._at + size])
        self._at += len(found)
        return found

    def write(self, data):
        """Returns when the chip has taken all but a few KB."""
        self._poll = LEAST_MS
        self.chip.type(bytes(data))
        while self.chip.typing > HELD:
            self.chip.run(1)
        return len(data)

    def flush(self):
        """All that was written is taken."""
        while self.chip.typing:
            self.chip.run(1)

    def close(self):
        """Nothing to close."""


def transport(chip, timeout=None):
    """mpremote's transport to the chip, for the functions of host/ that take a link."""
    link = SerialTransport.__new__(SerialTransport)
    link.in_raw_repl, link.use_raw_paste, link.mounted, link.is_pty = False, True, False, False
    link.device_name, link.serial = "emulated", Console(chip, timeout)
    return link


class Terminal:
    """A pseudo-terminal, `port`, behind which the chip runs in a thread of its own, at the wall's pace or as near to
    it as this machine comes. Use as a context; while it is open nobody else may run the chip."""

    def __init__(self, chip):
        self.chip, self.failed = chip, None
        self._asks = []  # of other threads: functions to call between two stretches of time

    def __enter__(self):
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.port = os.ttyname(self._slave)
        self._at, self._open = len(self.chip.said), True
        self._thread = threading.Thread(target=self._carry, daemon=True)
        self._thread.start()
        return self

    def __exit__(self, *_error):
        self._open = False
        self._thread.join()
        if self.failed:
            raise self.failed

    def unplug(self):
        """Power off in mid-whatever, as a cable does that is kicked out."""
        self._asks.append(self.chip.power_cut)

    def _carry(self):
        begun, from_ns = time.monotonic(), self.chip.ns
        try:
            while self._open and self.chip.powered:
                self._exchange()
                self.chip.run(1)
                while self._asks:
                    self._asks.pop(0)()
                ahead = (self.chip.ns - from_ns) / 1e9 - (time.monotonic() - begun)
                if ahead > 0:
                    select.select([self._master], [], [], ahead)
                elif ahead < -0.1:  # too slow to make up for
                    begun, from_ns = time.monotonic(), self.chip.ns
        except Exception as error:  # told to whoever closes the terminal
            self.failed = error
        termios.tcflush(self._slave, termios.TCIOFLUSH)  # closing both ends makes the host's reads and writes fail
        os.close(self._slave)
        os.close(self._master)

    def _exchange(self):
        if self.chip.typing < HELD:
            try:
                self.chip.type(os.read(self._master, HELD))
            except BlockingIOError:
                pass
        if self._at < len(self.chip.said):
            try:
                self._at += os.write(self._master, bytes(self.chip.said[self._at : self._at + HELD]))
            except BlockingIOError:
                pass
