"""Record the feed: how long there is room for, before and while it runs."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Page as _Page
from firmware.ui.pages.feed import feed_control
from firmware.ui.pages.feed.feed_words import clock, coming


class Page(_Page):
    """Push begins, push again ends. It goes on when the page is left."""

    title = "Record"
    live = True

    def __init__(self, app):
        _Page.__init__(self, app)
        self.feed = app.feed
        feed_control.ready(app)

    def on(self):
        """The number of the capture that is being recorded, 0 for none."""
        return self.feed.recorder.number if self.feed.recorder else 0

    def push(self):
        app = self.app
        if not self.feed.recorder:  # it has ended by itself: flash is full
            app.try_to(feed_control.ready, app)
        elif self.on():
            feed_control.stop_recording(app)
            app.open("captures")
        elif not self.feed.is_live():
            app.say("No feed comes in")
        else:
            app.try_to(feed_control.record, app)

    def back(self):
        if not self.on():
            feed_control.stop_recording(self.app)
        self.app.open("captures")

    def hint(self):
        return ("push", "end" if self.on() else "begin"), ("back", "goes on" if self.on() else "Captures")

    def body(self, c, top, bottom):
        recorder = self.feed.recorder
        ms = recorder.ms if self.on() else 0
        high = c.line_height(fonts.BIG)
        x = c.pad
        if self.on():
            c.box(x, top + high // 3, high // 3, high // 3, theme.HOT)
            x += high // 2
        c.text(clock(ms), x, top, fonts.BIG, theme.TEXT, width=c.width - x)
        yield
        top += high
        for words in (self._room(recorder, c.big), coming(self.feed, self.app.now), self._size(recorder)):
            if top + c.row <= bottom:
                c.text(words, c.pad, top, fonts.BODY, theme.DIM, width=c.width - 2 * c.pad)
            top += c.row
            yield

    def _room(self, recorder, wide):
        if recorder is None:
            return "has ended"
        minutes = recorder.minutes()
        if minutes is None:
            return "measuring" if self.feed.is_live() else "no feed comes in"
        left = "%d h %d min" % (minutes // 60, minutes % 60) if minutes >= 60 else "%d min" % minutes
        return "room for " + left if wide else left + " left"

    def _size(self, recorder):
        if recorder is None or not self.on():
            return ""
        return "%d KB, %d frames" % (recorder.bytes // 1024, recorder.frames)
