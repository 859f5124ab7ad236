"""What a show wants done with the feed: feed.json in the show's folder. Used by stage/feed.py and its pages.

    on       1: what comes in is taken over; 0: it is only watched
    lost     where the feed is lost, 0: hold its last frame, else the number of the look to go to
    lost_ms  time of that fade; back_ms: of the fade back when the feed returns; 0..600,000
    rules    [[uid, rule] ...] of the fixtures that do not go by the highest value: stage/feed_tables.py has the rules
"""

from firmware.show import file_store


def load(show):
    """(settings, fault): as saved, with defaults for what the file does not have; "rules" as {uid: rule}. fault: in
    words, or None."""
    saved, fault = file_store.load(show.disk, _path(show))
    out = {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}}
    for key in out:
        value = saved.get(key) if saved else None
        if key == "rules":
            out[key] = dict(value or ())
        elif isinstance(value, int):
            out[key] = value
    return out, fault


def save(show, settings):
    """Save the settings. Errors: OSError(ENOSPC)."""
    out = dict(settings)
    out["rules"] = [[uid, settings["rules"][uid]] for uid in sorted(settings["rules"])]
    file_store.save(show.disk, _path(show), out)


def _path(show):
    return show.folder + "/feed.json"
