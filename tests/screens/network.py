"""Scenes of the pages for sACN, with a radio on whatever board draws them."""

from firmware.parts import once
from firmware.wire.e131_out import Sender, discovery_packet
from sim.line import Line
from sim.radio import Air

_SENDERS = (("Front desk", 120), ("Balcony", 100))


def networked(*opens, on=1, cable=False, turn=0, own=0):
    """A scene in which two senders of a universe are heard, and one that lists its own; then a page is opened. opens:
    its name and arguments; on: 0: the feed comes by the cable; cable: it sends too; turn: detents on that page; own: 1:
    the device makes the Wi-Fi itself."""
    def scene(b):
        b.board.radio, b.board.air = "sim.radio", Air()
        if len(b.board.lines) < 2:
            b.board.lines += (Line(b.clock),)
        for key, value in (("wifi", "" if own else "Studio"), ("password", "lumen-meter"), ("universe", 12),
                           ("own_password", "kx4hd7tqvn"), ("own", own), ("on", on)):
            once("firmware.ui.pages.settings.network", "put", b.app, key, value)
        b.board.air.wifi["Studio"] = "lumen-meter"
        b.app.open("network")
        b.run(2.5)
        b.board.air.waiting.append(bytes(discovery_packet(b"L" * 16, "Lobby", (3, 4))))
        senders = [Sender(name.encode()[:1] * 16, name, 12, priority, b.clock.ms()) for name, priority in _SENDERS]
        for _ in range(400):
            for sender in senders:
                if sender.due(b.clock.ms(), bytes(512)):
                    b.board.air.waiting.append(bytes(sender.packet))
            if cable:
                b.board.lines[1].receive(bytes(512))
            b.run(0.025)
        b.app.open(*opens)
        b.turn(turn)
    return scene
