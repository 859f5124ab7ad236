"""The RDM half of the desktop's ports (hal/contract.Rdm, and Answers of the port in), on the virtual clock. Loaded by
firmware/stage/rdm_link and firmware/feed_rdm."""

LAST_US = 3_000  # the window of a request after which the port is given back


class Rdm:
    """line: a sim.line.Line; chip: asks for nothing here."""

    def __init__(self, line, chip):
        if not line.drive:
            raise ValueError("The line is silent")
        self._line = line
        self._over, self._heard = 0, b""

    def send(self, packet, window_us):
        """A request, after the packet that is on the line."""
        self._over, self._heard = self._line.ask(packet, window_us)

    def heard(self):
        """None until the exchange is over, then what was heard."""
        return None if self._line.now_us() < self._over else self._heard

    def close(self, last=None):
        """Send the last request; there is nothing to give back."""
        if last is not None:
            self._line.ask(last, LAST_US)


class Answers:
    """line: a sim.line.Line that listens; chip: asks for nothing here."""

    setup = "sim.rdm_port"

    def __init__(self, line, chip):
        if line.drive:
            raise ValueError("The line sends")
        self.line = line

    def close(self):
        """Answer no longer."""
        self.line.responder = None


def ident():
    """There is one of these."""
    return b"\x00\x05\x15"


def begin(port, responder, encoded):
    """Let Answers answer."""
    port.line.responder, port.line.encoded = responder, encoded


def answers():
    """The name of this module: it has both halves."""
    return "sim.rdm_port"
