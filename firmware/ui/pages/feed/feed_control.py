"""What the pages do with the feed: take it as a look, record it, play a capture in its place. Used by the pages of the
feed, and by the running order for its captures."""

from firmware.parts import once
from firmware.show import captures


def keep(app):
    """Keep what the show wants done with the feed. Errors: OSError(ENOSPC)."""
    once("firmware.show.feed_settings", "save", app.show, app.feed.settings)


def grab(app):
    """Make the feed's present frame a look -> its name. Errors: ValueError: there is no frame, or no more room."""
    feed, looks = app.feed, app.show.looks
    if not feed.count:
        raise ValueError("No feed has come in yet")
    n = len(looks) + 1
    while "Feed %d" % n in looks.names():
        n += 1
    name = "Feed %d" % n
    looks.store(name, once("firmware.show.resolve_back", "grab", app.stage, feed.packet, feed.count))
    return name


def ready(app):
    """Get ready to record: from now on it is known how many minutes there is room for -> CaptureRecorder. Errors:
    ValueError: no memory for it."""
    feed = app.machines.take_feed()
    if not feed.recorder:
        try:
            feed.record(app.machines.capture_recorder(app.board.disk, app.now, feed.hz10))
        except MemoryError:
            raise ValueError("No memory left to record") from None
    return feed.recorder


def record(app):
    """Begin to record. Errors: OSError(ENOSPC)."""
    disk = app.board.disk
    number = captures.new(disk)
    ready(app).begin(number, captures.path(number), app.now)


def stop_recording(app):
    """End it, and keep what came. Not begun: no more."""
    recorder = app.feed.recorder
    if recorder:
        app.feed.record(None)
        recorder.end()
        if recorder.number:
            _describe(app, recorder)
    app.machines.tidy_captures()


def play(app, number):
    """Play a capture in place of the feed -> ms that it lasts; 0 ends it. Errors: ValueError, OSError."""
    feed = app.machines.take_feed()
    if not number:
        feed.play(app.now, None)
        app.machines.tidy_captures()
        return 0
    about, fault = captures.about(app.board.disk, number)
    if fault:
        app.shelf.faults.append(fault)
    try:
        player = app.machines.capture_player(app.board.disk, captures.path(number), about, app.now)
    except OSError:
        raise ValueError("Capture %d is gone" % number) from None
    except MemoryError:
        raise ValueError("No memory left to play a capture") from None
    player.number = number
    feed.play(app.now, player)
    return player.end - player.start


def lend(app, lent):
    """Leave what comes in to the open page, or take it again."""
    app.machines.listens = not lent and app.input is not None
    if app.feed:
        app.feed.source = None if lent else app.input


def _describe(app, recorder):
    """Keep a capture's length with its name."""
    disk = app.board.disk
    about = captures.about(disk, recorder.number)[0]
    about["ms"] = recorder.ms
    app.try_to(captures.save, disk, recorder.number, about, said="Recorded: " + about["name"])
