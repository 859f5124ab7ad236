"""Where a feed can come from. Used by the app, and by the page on which that is chosen.

A source has received() -> the newest packet not handed up before or None, counts, and every (hal/contract.Line says
what they mean). The stage's feed asks one source; it does not know what it is.
"""

from firmware.parts import Part, once


def of_board(board, faults):
    """The source of a board: the network where it has Wi-Fi and its settings ask for that; else its second DMX512 port,
    where that can listen; else None. faults: a list that words about a damaged file are added to."""
    source = _network(board, faults) if hasattr(board, "radio") else None
    if source is None and len(board.lines) > 1 and board.lines[1].has_input:
        source = board.lines[1]
    return source


def choose(app):
    """The settings say where the feed comes from: go over to that."""
    old = app.input
    if hasattr(old, "close"):
        old.close()
    app.input = of_board(app.board, app.shelf.faults)
    app.machines.listens = app.input is not None
    if app.feed:
        app.feed.source = app.input
        app.feed.record(app.feed.recorder)


def _network(board, faults):
    """The network as a source, or None."""
    settings, fault = once("firmware.show.network_settings", "load", board.disk)
    faults += [fault] if fault else []
    if not settings["on"]:
        return None
    try:
        part = Part("firmware.feed_network")
        source = part.make("NetworkIn", board, settings)
    except MemoryError:
        return None
    source.part = part
    return source
