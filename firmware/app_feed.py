"""The feed's code: loaded when it is wanted, dropped when it rests. Loaded by app_machines.py for each of its calls."""

from firmware.parts import Part, once


def take(app, wanted, held):
    """Load the feed, as Machines.take_feed says. Errors: MemoryError."""
    settings = settings_of(app)
    idle = not wanted and not settings["on"]
    if hasattr(app.input, "idle"):
        app.input.idle = idle
        app.machines.listens = idle  # it is asked all the same, as it has the network to look after
    if idle:
        return
    part = Part("firmware.stage.feed")
    app.feed = app.machines.made("feed", part, "Feed", app.stage, app.input, settings, app.now)
    if held:
        app.feed.frame[:len(held)] = held
        app.feed.fade(app.now, settings["back_ms"])
    app.machines.listens = app.input is not None


def rest(app):
    """The pages of the feed are left: drop what is not in use -> True where that is to be asked again, as the line
    still fades from what came in to the stage's frame."""
    feed = app.feed
    if feed.recorder and not feed.recorder.number:  # it was only got ready
        feed.record(None)
    app.machines.tidy_captures()
    if feed.is_live() or feed.is_lost() or feed.player or feed.recorder:
        return False
    if not feed.is_still():
        return True
    app.feed = app.stage.pick_up = None
    app.machines.close("feed")
    return False


def attach(app):
    """Let the feed go on with another show."""
    app.feed.attach(app.stage, settings_of(app))


def settings_of(app):
    """The show's settings for the feed: as feed_settings.load; a fault is reported."""
    settings, fault = once("firmware.show.feed_settings", "load", app.show)
    if fault:
        app.shelf.faults.append(fault)
    return settings
