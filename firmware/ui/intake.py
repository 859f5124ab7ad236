"""Loading and leaving the feed (stage/feed.py). Called through app.intake, which drops this module again."""

from firmware.drop import drop
from firmware.show import intake

_PARTS = ("show.intake", "stage.feed", "stage.holds", "stage.merge", "stage.merge_viper", "stage.player",
          "stage.recorder", "wire.capture", "wire.code", "wire.code_viper")


def take(app, wanted=True):
    """Load the feed if it is not loaded -> Feed. wanted False: only if the show takes the feed over; else what comes
    in is left alone from now on."""
    if app.feed is None:
        settings = _settings(app)
        if not wanted and not settings["on"]:
            app.heeds = False
            return None
        from firmware.stage.feed import Feed

        app.feed = Feed(app.stage, app.input, settings, app.now)
    return app.feed


def attach(app):
    """The stage is another show's: the feed goes on with it."""
    app.feed.attach(app.stage, _settings(app))


def leave(app):
    """Forget the feed's code where none came in and nothing plays or records."""
    feed = app.feed
    if feed and not (feed.state or feed.player or feed.recorder):
        app.feed = app.stage.pick_up = None
        for name in _PARTS:
            drop("firmware." + name)


def lend(app, lent):
    """Leave what comes in to the open page, or take it again."""
    app.heeds = not lent and app.input is not None
    if app.feed:
        app.feed.source = None if lent else app.input


def _settings(app):
    settings, fault = intake.load(app.show)
    drop("firmware.show.intake")
    if fault:
        app.shelf.faults.append(fault)
    return settings
