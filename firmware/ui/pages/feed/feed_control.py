"""What is done with the feed: save its settings, grab it as a look, record it, play a capture in its place. Used by the
pages of the feed, by the self-test, and by the running order for its captures.
"""

from firmware.parts import once
from firmware.show import captures


def incoming(feed, now):
    """What comes in, in words: "44.0 Hz, 512 slots"."""
    if feed.is_live():
        return "%d.%d Hz, %d slots" % (feed.hz10 // 10, feed.hz10 % 10, feed.count)
    return "lost %d s ago" % ((now - feed.since) // 1000) if feed.is_lost() else "nothing yet"


def save_settings(app):
    """Save what the show wants done with the feed. Errors: OSError(ENOSPC)."""
    once("firmware.show.feed_settings", "save", app.show, app.feed.settings)


def grab(app):
    """Make a look of what the feed sends now -> its name. Errors: ValueError: no packet came in yet, or no more
    room."""
    feed, looks = app.feed, app.show.looks
    if not feed.count:
        raise ValueError("No feed has come in yet")
    name = once("firmware.ui.pages.looks.look_store", "numbered", looks.names(), "Feed", len(looks) + 1)
    looks.store(name, once("firmware.show.resolve_back", "grab", app.stage, feed.packet, feed.count))
    return name


def prepare_recording(app):
    """Make a recorder, where there is none -> CaptureRecorder. It does not record yet, but finds out how many minutes
    there is room for. Errors: ValueError: no memory for it."""
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
    prepare_recording(app).begin(number, captures.path(number), app.now)


def stop_recording(app):
    """End the recording and describe the capture; a recorder that has not begun is let go."""
    recorder = app.feed.recorder
    if recorder:
        app.feed.record(None)
        recorder.end()
        if recorder.number:
            _describe(app, recorder)
    app.machines.tidy_captures()


def play(app, number):
    """Play a capture in place of the feed -> ms that it lasts. number: the capture's; 0 ends the one that plays.
    Errors: ValueError, OSError."""
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
    try:
        feed.play(app.now, player)
    except MemoryError:
        app.machines.tidy_captures()
        raise ValueError("No memory left to play a capture") from None
    return player.end - player.start


def lend_input(app, lent):
    """Leave the packets that come in to the open page, or give them to the feed again."""
    app.machines.listens = not lent and app.input is not None
    if app.feed:
        app.feed.source = None if lent else app.input


def _describe(app, recorder):
    """Save the length of a capture with its name."""
    disk = app.board.disk
    about = captures.about(disk, recorder.number)[0]
    about["ms"] = recorder.ms
    app.try_to(captures.save, disk, recorder.number, about, said="Recorded: " + about["name"])
