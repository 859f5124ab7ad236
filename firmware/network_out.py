"""What is on the lines goes to the network too, each universe as one of sACN (ANSI E1.31). Made by feed_network.py,
which calls it in each step of the loop."""

from firmware.universe import SLOTS
from firmware.wire.e131 import PORT
from firmware.wire.e131_out import Sender

_NAME = "Halfstop"


class NetworkOut:
    """What goes out. `senders`: of the universes of the rig, None for one that does not go out; `cid`."""

    def __init__(self, app, radio, settings, now):
        """app: whose lines they are; settings: as network_settings.load gives them."""
        self._app, self._radio = app, radio
        self.cid = cid(radio)
        self._frame, self._parts = None, ()  # the last frame, and its universes
        outs = [settings["out"], settings["out2"]]
        there = [universe for universe in outs if universe]
        self.senders = [Sender(self.cid, _NAME, universe, settings["priority"], now, there) if universe else None
                        for universe in outs]

    def step(self, now):
        """Send what is due. now: ms. Allocates only for another frame than the last."""
        frame = (self._app.feed or self._app.stage).frame
        first, second = self.senders
        if len(frame) > SLOTS or second:
            if frame is not self._frame:
                view = memoryview(frame)
                self._frame = frame
                self._parts = view[:SLOTS], view[SLOTS:] if len(frame) > SLOTS else bytes(SLOTS)
            frame = self._parts[0]
            if second:
                self._send(second, now, self._parts[1])
        if first:
            self._send(first, now, frame)
        listing = first or second
        if listing.listing_due(now):
            self._radio.send(listing.listing, listing.listing_address, PORT)

    def _send(self, sender, now, slots):
        if sender.due(now, slots):
            self._radio.send(sender.packet, sender.address, PORT)

    def weigh(self, priority):
        """Go on with another priority, 0..200."""
        for sender in self._there():
            sender.weigh(priority)

    def move_back(self, by):
        """Move all times back (app_time.py)."""
        for sender in self._there():
            sender.move_back(by)

    def end(self):
        """Say that it stops."""
        for sender in self._there():
            for packet in sender.end():
                self._radio.send(packet, sender.address, PORT)

    def _there(self):
        return [sender for sender in self.senders if sender]


def cid(radio):
    """The component identifier of this device: a UUID of version 1 (RFC 4122), of a fixed time and the radio's MAC."""
    return b"Halfst\x1f\x70\x80\0" + radio.ident()
