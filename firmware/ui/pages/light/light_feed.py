"""Lamps that a feed holds, for the Light page: the light that they have on the line, and how the pocket takes them
over. Light loads this while a feed has a share in the frame.
"""

from firmware.parts import once
from firmware.show import resolve_back
from firmware.show.fixture_light import EXTRAS, FULL, LEVEL, PARAMS, SCALE
from firmware.stage.feed_tables import BY_BOTH, BY_POCKET, POCKET
from firmware.ui.pages.light import light_dialling, light_words

_NAMED = 2  # so many lamps a message names


class OnLine:
    """What the line has. It is read again only where the slots of a lamp are others."""

    def __init__(self, app):
        self._app = app
        self._seen = {}  # uid: (slots, light)

    def by(self, fixture):
        """Who else than the pocket holds a lamp, in a word: "feed", "both", or ""."""
        feed = self._app.feed
        holder = feed.holder(self._app.stage.place(fixture)) if feed and feed.holds() else BY_POCKET
        return "" if holder == BY_POCKET else "both" if holder == BY_BOTH else "feed"

    def light(self, fixture):
        """The light of a lamp: as dialled, or where the feed holds it, as its slots on the line say."""
        if not self.by(fixture):
            return self._app.stage.light(fixture)
        frame = self._app.feed.frame
        slots = bytes(frame[fixture.address - 1:fixture.last()])
        seen = self._seen.get(fixture.uid)
        if not seen or seen[0] != slots:
            # By `once`, since a dimming curve brings more code in, which would stay.
            light = once("firmware.show.resolve_back", "read", fixture, frame, *self._app.stage.trims(fixture))
            self._seen[fixture.uid] = seen = slots, light
        return list(seen[1])

    def value(self, stage, fixture, what):
        """The value of a parameter or raw channel, as `light` has it; otherwise as light_dialling.value."""
        if not self.by(fixture):
            return light_dialling.value(stage, fixture, what)
        light = self.light(fixture)
        return light[PARAMS.index(what)] / SCALE[PARAMS.index(what)] if what in PARAMS else light[EXTRAS].get(what, 0)

    def own(self, fixtures, what):
        """Beside the value on the line of one lamp that the feed holds: what the pocket would give, in words."""
        if len(fixtures) != 1 or not self.by(fixtures[0]):
            return ""
        own = light_dialling.value(self._app.stage, fixtures[0], what)
        return "own " + light_words.text(self._app.settings, what, own)

    def tell(self, fixtures):
        """Those lamps were dialled. Where the feed goes on holding all of them, say so, and offer to take them."""
        app = self._app
        held = [f for f in fixtures if self.by(f) == "feed"]
        if not held or len(held) < len(fixtures):
            return
        names = ", ".join([f.name for f in held[:_NAMED]])
        more = len(held) - _NAMED
        if more > 0:
            names += " and %d more" % more
        if app.feed.is_lost():
            app.say("Push: own light. The lost feed holds " + names, None,
                    once, "firmware.ui.pages.feed.feed_news", "own_light", app)
            return
        app.say("Push: take over. The feed holds " + names, None,
                once, "firmware.ui.pages.light.light_feed", "take", app, [f.uid for f in held])


def take(app, uids):
    """The pocket takes lamps over from the feed, with the light that they have on the line, and keeps them. uids: of
    the lamps."""
    feed, stage = app.feed, app.stage
    if not feed:
        return
    names, rules = [], {}
    for f in app.show.rig.fixtures:
        if f.uid in uids:
            light = resolve_back.read(f, feed.frame, *stage.trims(f))
            if not f.trims.get("free") and stage.master_units:
                light[LEVEL] = min(FULL, light[LEVEL] * 1024 // (stage.master_units >> 6))
            stage.put_fixture(f, light)
            names.append(f.name)
            rules[f.uid] = feed.rule(f)
            feed.set_rule(app.now, f, POCKET)
    app.try_to(once, "firmware.show.feed_settings", "save", app.show, feed.settings)
    app.can_undo("taking %s" % ", ".join(names[:_NAMED]),
                 once, "firmware.ui.pages.light.light_feed", "give", app, rules)
    app.say("Own light now: " + ", ".join(names))


def give(app, rules):
    """Give lamps to the feed again. rules: {uid: rule of feed_tables.py}."""
    feed = app.machines.take_feed()
    for f in app.show.rig.fixtures:
        if f.uid in rules:
            feed.set_rule(app.now, f, rules[f.uid])
    app.try_to(once, "firmware.show.feed_settings", "save", app.show, feed.settings)
