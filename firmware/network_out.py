"""What is on the line goes to the network too, as a universe of sACN (ANSI E1.31). Made by feed_network.py, which calls
it in each step of the loop."""

from firmware.wire.e131 import PORT
from firmware.wire.e131_out import Sender

_NAME = "Halfstop"


class NetworkOut:
    """One universe out."""

    def __init__(self, app, radio, settings, now):
        """app: whose line it is; settings: as network_settings.load gives them."""
        self._app, self._radio = app, radio
        self.sender = Sender(cid(radio), _NAME, settings["out"], settings["priority"], now)

    def step(self, now):
        """Send what is due. now: ms."""
        app, sender = self._app, self.sender
        if sender.due(now, (app.feed or app.stage).frame):
            self._radio.send(sender.packet, sender.address, PORT)
        if sender.listing_due(now):
            self._radio.send(sender.listing, sender.listing_address, PORT)

    def move_back(self, by):
        """Move all times back (app_time.py)."""
        self.sender.move_back(by)

    def end(self):
        """Say that it stops."""
        for packet in self.sender.end():
            self._radio.send(packet, self.sender.address, PORT)


def cid(radio):
    """The component identifier of this device: a UUID of version 1 (RFC 4122), of a fixed time and the radio's MAC."""
    return b"Halfst\x1f\x70\x80\0" + radio.ident()
