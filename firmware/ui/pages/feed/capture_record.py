"""Record the feed; and for how long there is room, before and while it is recorded. Opened by Captures."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.pages import times
from firmware.ui.pages.feed import feed_control


class Page(page.Page):
    """A push begins, another ends. Recording goes on when the page is left."""

    title = "Record"
    parent = "captures"
    live = True

    def __init__(self, app):
        page.Page.__init__(self, app)
        self.feed = app.feed
        feed_control.prepare_recording(app)

    def number(self):
        """The number of the capture that is being recorded, 0 for none."""
        return self.feed.recorder.number if self.feed.recorder else 0

    def push(self):
        app = self.app
        if not self.feed.recorder:  # it has ended by itself: flash is full
            app.try_to(feed_control.prepare_recording, app)
        elif self.number():
            feed_control.stop_recording(app)
            app.open("captures")
        elif not self.feed.is_live():
            app.say("No feed comes in")
        else:
            app.try_to(feed_control.record, app)

    def back(self):
        if not self.number():
            feed_control.stop_recording(self.app)
        self.leave()

    def hint(self):
        return ("push", "end" if self.number() else "begin"), ("back", "goes on" if self.number() else "Captures")

    def body(self, c, top, bottom):
        recorder = self.feed.recorder
        ms = recorder.ms if self.number() else 0
        high = c.line_height(fonts.BIG)
        x = c.pad
        if self.number():
            c.box(x, top + high // 3, high // 3, high // 3, theme.HOT)
            x += high // 2
        c.text(times.clock(ms), x, top, fonts.BIG, theme.TEXT, width=c.width - x)
        yield
        top += high
        for words in (self._room(recorder, c.big), feed_control.incoming(self.feed, self.app.now),
                      self._size(recorder)):
            if top + c.row <= bottom:
                c.text(words, c.pad, top, fonts.BODY, theme.DIM, width=c.width - 2 * c.pad)
            top += c.row
            yield

    def _room(self, recorder, wide):
        """For how long there is room, in words. wide: there is room for more words."""
        if recorder is None:
            return "has ended"
        minutes = recorder.minutes()
        if minutes is None:
            return "measuring" if self.feed.is_live() else "no feed comes in"
        left = "%d h %d min" % (minutes // 60, minutes % 60) if minutes >= 60 else "%d min" % minutes
        return "room for " + left if wide else left + " left"

    def _size(self, recorder):
        """What is recorded so far, in words."""
        if recorder is None or not self.number():
            return ""
        return "%d KB, %d frames" % (recorder.bytes // 1024, recorder.frames)
