"""Moves the device's time back by what has gone by, so that it stays small. Called by the loop once in three days.

From 2**30 on an int of these chips lives on the heap, where the tick must not put one, and the stage's arrays hold 31
bits. Each time that is kept anywhere is moved by as much, so that every difference stays as it is: this module is the
one that knows where they are, and tests/test_time.py finds those that it has forgotten.
"""

from micropython import const

from firmware.stage import patch_fields as fields

# ms, three days: the present time after a move. A time that lies further back becomes 0; nothing waits as long. None
# may be below 0: machine code of a 64-bit VM reads negative numbers of an array as large ones.
LONGEST = const(1 << 28)


def move_back(app, now):
    """Move all times back -> the present time, ms."""
    app.state.flush(now)
    by = (now - LONGEST) // 1000 * 1000  # whole seconds, so that those of the log go on
    app.board.clock.back(by)
    app.log.moved_s += by // 1000
    app.log._last_ms = _moved(app.log._last_ms, by)
    app.page.since = _moved(app.page.since, by)
    _screen(app.screen, by)
    gestures, loop = app.gestures, app.loop
    gestures._last = _moved(gestures._last, by)
    _move_all(gestures._since, by)
    loop._battery, loop._chore = _moved(loop._battery, by), _moved(loop._chore, by)
    _move_all(loop._changed, by)
    loop._rests, loop._collected = _moved(loop._rests, by), _moved(loop._collected, by)
    app.gave_way = _moved(app.gave_way, by)
    _state(app.state, by)
    if app.battery:
        app.battery._due = _moved(app.battery._due, by)
    if app.stage.effects:
        _effects(app.stage.effects, by)
    if app.feed:
        _feed(app.feed, now, by)
    if hasattr(app.input, "move_back"):
        app.input.move_back(by)
    _stage(app.stage, app.player, by)
    return now - by


def _moved(time, by):
    return max(0, time - by)


def _move_all(times, by):
    for n in range(len(times)):
        times[n] = _moved(times[n], by)


def _screen(screen, by):
    screen._message_end = _moved(screen._message_end, by)
    screen._drawn = _moved(screen._drawn, by)
    screen._last_gesture = _moved(screen._last_gesture, by)
    screen._rests, screen._again = _moved(screen._rests, by), _moved(screen._again, by)
    screen._drawn_turned = _moved(screen._drawn_turned, by)


def _state(state, by):
    """What could not be written just now waits on; the next record is a base, as the stage's time is another."""
    state.wait = _moved(state.wait, by)
    if state.first >= 0:
        state.first, state.last = _moved(state.first, by), _moved(state.last, by)
    state.since = None


def _effects(effects, by):
    effects._now = _moved(effects._now, by)
    _move_all(effects._key_made, by)
    if effects.limit:
        effects.limit._since = _moved(effects.limit._since, by)
    for running in effects.running:
        running._since = _moved(running._since, by)
        running._slot = _moved(running._slot, by)


def _feed(feed, now, by):
    feed.since = _moved(feed.since, by)
    feed._packet_ms = _moved(feed._packet_ms, by)
    feed._polled = _moved(feed._polled, by)
    feed._counted_since = _moved(feed._counted_since, by)
    feed._fade_began = _moved(feed._fade_began, by)
    feed._share_began = _moved(feed._share_began, by)
    feed._last = _moved(feed._last, by)
    feed._handed = _moved(feed._handed, by)
    _move_all(feed._change_times, by)
    _move_all(feed._handed_ms, by)
    if feed._limit:
        feed._limit._since = _moved(feed._limit._since, by)
    if feed.player:
        feed.player._last = _moved(feed.player._last, by)
    if feed.recorder and feed.recorder.number:
        feed.recorder._start = _moved(feed.recorder._start, by)
    elif feed.recorder:  # it only measures the rate, perhaps for days
        feed.recorder._restart(now - by)


def _stage(stage, player, by):
    """The stage has a time of its own, which stands while fades are held."""
    then, fades = max(0, stage.time - LONGEST), stage.patch.fades
    for o in range(0, len(fades), fields.FADE):
        if fades[o + fields.START] < fields.NEVER:
            fades[o + fields.START] = fades[o + fields.START] - then if fades[o + fields.LENGTH] else 0
    if stage.raw:
        stage.raw._start = _moved(stage.raw._start, then)
    if player:
        player._end, player._began = _moved(player._end, then), _moved(player._began, then)
    stage.time -= then
    stage._lag += then - by
