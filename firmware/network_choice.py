"""Whether the feed of a board with Wi-Fi comes by its cable or by the network. Used by feed_sources.py at the start,
and by the page on which that is chosen."""

from firmware.parts import Part
from firmware.show import network_settings


def source(app):
    """The source of the feed: the second DMX512 port, where that can listen, else None; or the network, where its
    settings ask for that."""
    lines = app.board.lines
    cable = lines[1] if len(lines) > 1 and lines[1].has_input else None
    settings, fault = network_settings.load(app.board.disk)
    if fault:
        app.shelf.faults.append(fault)
    if not settings["on"] and not settings["out"]:
        return cable
    try:
        part = Part("firmware.feed_network")
        network = part.make("NetworkIn", app, settings, cable)
    except MemoryError:
        return cable
    network.part = part
    return network


def choose(app):
    """The settings have changed: go over to what they say."""
    if hasattr(app.input, "close"):
        app.input.close()
    app.input = source(app)
    app.machines.listens = app.input is not None
    if app.feed:
        app.feed.source = app.input
        app.feed.record(app.feed.recorder)
