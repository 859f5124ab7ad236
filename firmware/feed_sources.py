"""Where a feed can come from. Used by the app, and by the page on which that is chosen.

A source has received() -> the newest packet not handed up before or None, counts, and every (hal/contract.Line says
what they mean). The stage's feed asks one source; it does not know what it is.
"""

from firmware.parts import Part, once


def of_app(app):
    """The source of a device: its second DMX512 port, where that can listen, else None; or the network, where its board
    has Wi-Fi and its settings ask for that."""
    lines = app.board.lines
    cable = lines[1] if len(lines) > 1 and lines[1].has_input else None
    return hasattr(app.board, "radio") and _network(app, cable) or cable


def choose(app):
    """The settings say where the feed comes from: go over to that."""
    old = app.input
    if hasattr(old, "close"):
        old.close()
    app.input = of_app(app)
    app.machines.listens = app.input is not None
    if app.feed:
        app.feed.source = app.input
        app.feed.record(app.feed.recorder)


def _network(app, cable):
    """The network as a source, or None."""
    settings, fault = once("firmware.show.network_settings", "load", app.board.disk)
    if fault:
        app.shelf.faults.append(fault)
    if not settings["on"] and not settings["out"]:
        return None
    try:
        part = Part("firmware.feed_network")
        source = part.make("NetworkIn", app, settings, cable)
    except MemoryError:
        return None
    source.part = part
    return source
