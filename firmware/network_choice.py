"""Whether the feed of a board with Wi-Fi comes by its cable or by the network. Used by feed_sources.py."""

from firmware.parts import Part
from firmware.show import network_settings


def source(app, cable):
    """The source of the feed: the cable, or the network, where its settings ask for that. cable: the DMX512 port that
    can listen, or None."""
    settings, fault = network_settings.load(app.board.disk)
    if fault:
        app.shelf.faults.append(fault)
    app.universes = 2 if settings["out2"] else getattr(app.board, "outs", 1)
    if app.stage:  # at the start there is none yet
        app.show.rig.universes = app.universes
    if not settings["on"] and not settings["out"] and not settings["out2"]:
        return cable
    try:
        part = Part("firmware.feed_network")
        network = part.make("NetworkIn", app, settings, cable)
    except MemoryError:
        return cable
    network.part = part
    return network
