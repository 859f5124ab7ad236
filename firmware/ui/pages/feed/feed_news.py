"""What the feed has to say, on whatever page. Loaded for each call, by the loop and by what a message offers."""

from firmware.parts import once


def tell(app):
    """Show the feed's message. Where it was lost and no look is set for that, a push brings the pocket's own light."""
    feed = app.feed
    if feed.asks:
        app.say(feed.message, None, once, "firmware.ui.pages.feed.feed_news", "own_light", app)
    else:
        app.say(feed.message)
    if feed.is_lost():
        app.log.add(app.now, feed.message, "feed")
    feed.message, feed.asks = "", False


def own_light(app):
    """Let go of a feed that was lost: the light is the pocket's."""
    if app.feed:
        app.feed.own_light(app.now)
