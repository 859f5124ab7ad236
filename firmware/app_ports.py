"""What takes the frames of the app: its line, or the two ports of two universes. Loaded by app.py where a frame has
another number of universes than the one before, and by the page on which the second port is chosen."""

from firmware.parts import Part
from firmware.universe import SLOTS


def fit(app, slots):
    """Let app.out be what takes frames of so many slots."""
    lines = app.board.lines[:getattr(app.board, "outs", 1)]
    if len(lines) == 1 and slots <= SLOTS:
        app.out = lines[0]
        app.machines.close("ports")
        return
    if app.out is not lines[0]:
        return  # it takes both
    app.out = app.machines.made("ports", Part("firmware.two_ports"), "TwoPorts", lines)
    if app.universes == 1:
        app.shelf.faults.append("Lamps at 2.1 and on get nothing: port 2 does not send (Settings)")


def restart(app):
    """Start the device anew, with the light going on: another choice of what port 2 does holds from then on."""
    app.state.flush(app.now)
    app.board.power.calm()  # it is no crash
    app.board.power.restart()
