"""Where a feed can come from. Used by the app, and by the page on which that is chosen.

A source has received() -> the newest packet not handed up before or None, counts, and every (hal/contract.Line says
what they mean). The stage's feed asks one source; it does not know what it is.
"""

import gc

from micropython import const

from firmware.parts import Part

# Bytes of the heap that must be left where RDM is answered: pages and the feed go before. The feed takes 24 KB.
_WITH_FEED, _WITHOUT = const(8_000), const(32_000)


def cable(board):
    """The DMX512 port that a feed can come in by, or None: the board has one port, or the second sends."""
    if len(board.lines) > 1 and board.lines[1].has_input and getattr(board, "outs", 1) < 2:
        return board.lines[1]
    return None


def of_board(app):
    """The source of the app's board: its second DMX512 port, where that listens, and answers RDM if the settings say
    so; None without one; on a board with Wi-Fi what network_choice.py says."""
    port = cable(app.board)
    if hasattr(app.board, "radio"):
        from firmware.network_choice import source

        return source(app, port)
    if port and port.rdm and app.settings["rdm"] and app.stage:  # at the start light comes first
        return _answering(app, port)
    return port


def begin(app):
    """The light is there: listen, and answer RDM where the settings say so."""
    if app.input:
        app.input.drive = False
    if app.settings["rdm"]:
        choose(app)


def _answering(app, port):
    """The cable with what answers RDM on it, or, where there is no memory for that, alone."""
    try:
        part = Part("firmware.feed_rdm")
        answering = part.make("Answering", app, port)
        answering.part = part
        gc.collect()
        if hasattr(gc, "mem_free") and gc.mem_free() < (_WITH_FEED if app.feed else _WITHOUT):
            answering.close()
            raise MemoryError
    except MemoryError:
        app.shelf.faults.append("RDM is not answered: no memory left beside this show")
        return port
    return answering


def choose(app):
    """The settings of the network, or of RDM, have changed: go over to the source that they ask for."""
    if hasattr(app.input, "close"):
        app.input.close()
    app.input = of_board(app)
    app.machines.listens = app.input is not None
    if app.feed:
        app.feed.source = app.input
        app.feed.record(app.feed.recorder)
