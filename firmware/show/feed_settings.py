"""What a show wants done with the feed: one small file, feed.json in the show's folder. Read by stage/feed.py.

    on       1: what comes in is taken over; 0: it is only watched
    lost     0: when the feed is lost, hold its last frame; else the number of the look to go to
    lost_ms  the time of that fade; back_ms: of the fade back when the feed returns. 0..600,000
    rules    [[uid, rule] ...] of the fixtures that do not go by the highest value: 1 latest, 2 pocket, 3 feed
"""

from firmware.show import file_store


def load(show):
    """(settings as a dict, fault): as kept, defaults for what is missing; rules as {uid: rule}."""
    kept, fault = file_store.load(show.disk, _path(show))
    out = {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}}
    for key in out:
        value = kept.get(key) if kept else None
        if key == "rules":
            out[key] = dict(value or ())
        elif isinstance(value, int):
            out[key] = value
    return out, fault


def save(show, settings):
    """Keep them. Errors: OSError(ENOSPC)."""
    out = dict(settings)
    out["rules"] = [[uid, settings["rules"][uid]] for uid in sorted(settings["rules"])]
    file_store.save(show.disk, _path(show), out)


def _path(show):
    return show.folder + "/feed.json"
