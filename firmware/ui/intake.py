"""Loading and leaving the feed (stage/feed.py), recording and playing. Called through app.intake, which drops this
module again."""

from firmware.drop import drop
from firmware.show import intake

_TAPE = ("stage.player", "stage.recorder", "stage.tape", "show.captures", "wire.capture", "wire.encoder",
         "wire.decoder", "wire.code", "wire.code_viper", "wire.read", "wire.read_viper")
_PARTS = ("show.intake", "show.readback", "stage.feed", "stage.holds", "stage.merge", "stage.merge_viper") + _TAPE


def take(app, wanted=True, held=None):
    """Load the feed if it is not loaded -> Feed. wanted False: only if the show takes the feed over; else what comes
    in is left alone from now on. held: slots that are on the line, to fade from. Errors: ValueError: no memory."""
    if app.feed is None:
        settings = _settings(app)
        app.heeds = False  # until it is loaded, or for good
        if not wanted and not settings["on"]:
            return None
        try:
            from firmware.stage.feed import Feed

            app.feed = Feed(app.stage, app.input, settings, app.now)
            if held:
                app.feed.frame[:len(held)] = held
                app.feed.fade(app.now, settings["back_ms"])
        except MemoryError:
            _drop(_PARTS)
            raise ValueError("The feed is left alone: no memory for it") from None
        app.heeds = app.input is not None
    return app.feed


def attach(app):
    """The stage is another show's: the feed goes on with it."""
    app.feed.attach(app.stage, _settings(app))


def leave(app):
    """The pages of the feed are left: forget what is not in use: the recorder that was only got ready, the captures'
    code, and the feed's where none came in and nothing plays or records."""
    feed = app.feed
    if feed and feed.recorder and not feed.recorder.number:
        stop_recording(app)
    if not feed or not (feed.state or feed.player or feed.recorder):
        app.feed = app.stage.pick_up = None
        _drop(_PARTS)
    else:
        _tidy(app)


def keep(app):
    """Keep what the show wants done with the feed. Errors: OSError(ENOSPC)."""
    intake.save(app.show, app.feed.settings)


def grab(app):
    """Make the feed's present frame a look -> its name. Errors: ValueError: there is no frame, or no more room."""
    from firmware.show import readback

    feed, looks = app.feed, app.show.looks
    if not feed.count:
        raise ValueError("No feed has come in yet")
    n = len(looks) + 1
    while "Feed %d" % n in looks.names():
        n += 1
    name = "Feed %d" % n
    looks.store(name, readback.grab(app.stage, feed.got, feed.count))
    drop("firmware.show.readback")
    return name


def ready(app):
    """Get ready to record: from now on it is known how many minutes there is room for -> Recorder. Errors:
    ValueError: no memory for it."""
    feed = take(app)
    if not feed.recorder:
        try:
            from firmware.stage.recorder import Recorder

            feed.record(Recorder(app.board.disk, app.now, feed.hz10))
        except MemoryError:
            _tidy(app)
            raise ValueError("No memory left to record") from None
    return feed.recorder


def record(app):
    """Begin to record. Errors: OSError(ENOSPC)."""
    from firmware.show import captures

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
            _about(app, recorder)
    _tidy(app)


def _about(app, recorder):
    from firmware.show import captures

    disk = app.board.disk
    about = captures.about(disk, recorder.number)[0]
    about["ms"] = recorder.ms
    app.try_to(captures.save, disk, recorder.number, about, said="Recorded: " + about["name"])


def play(app, number):
    """Play a capture in place of the feed -> ms that it lasts; 0 ends it. Errors: ValueError, OSError."""
    feed = take(app)
    if not number:
        feed.play(app.now, None)
        _tidy(app)
        return 0
    try:
        player = _player(app, number)
    except OSError:
        raise ValueError("Capture %d is gone" % number) from None
    except MemoryError:
        _tidy(app)
        raise ValueError("No memory left to play a capture") from None
    player.number = number
    feed.play(app.now, player)
    return player.end - player.start


def _player(app, number):
    from firmware.show import captures
    from firmware.stage.player import Player

    about, fault = captures.about(app.board.disk, number)
    if fault:
        app.shelf.faults.append(fault)
    return Player(app.board.disk, captures.path(number), about, app.now)


def _tidy(app):
    """Forget the captures' code where none is recorded or played."""
    if not (app.feed.player or app.feed.recorder):
        _drop(_TAPE)


def _drop(names):
    for name in names:
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
