"""The half of a DMX512 port that is the same on every chip. hal/rp2/line.py and hal/line_uart.py each add the rest."""


class Port:
    """Driving, listening and what outlived a restart, of hal.contract.Line. A child has send(), timing() and:

    _start(): drive the line and repeat the newest frame, a whole packet first.
    _stop(): break off and let the line go.
    _newest: which of the child's buffers holds the newest frame; -1 before the first send().
    """

    every = False

    def __init__(self, line_in=None, held=None):
        """line_in: the receiving side, which has listen(on), take() and receiver, or None; held: what held() returns.
        """
        self._line_in, self._held = line_in, held
        self.has_input = line_in is not None
        self.counts = line_in.receiver.counts if line_in else {}
        self._drive = True
        self._sending = False  # packets are going out; the child sets it
        self._newest = -1

    def held(self):
        """The slots from before the restart, once; they need memory only until then."""
        held, self._held = self._held, None
        return held

    @property
    def drive(self):
        return self._drive

    @drive.setter
    def drive(self, on):
        if on == self._drive:
            return
        self._drive = on
        if not on:
            self._stop()
        if self._line_in:
            self._line_in.listen(not on)
        if on and self._newest >= 0:
            self._start()

    def received(self):
        line_in = self._line_in
        if self._drive or not line_in:
            return None
        line_in.receiver.every = self.every
        return line_in.take()
