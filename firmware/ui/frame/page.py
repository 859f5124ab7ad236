"""The base of every page. A page is a module in firmware/ui/pages with a class Page, which has this class (or ListPage,
list_page.py) as its base; ui/pages/table.py lists them all.
"""


class Page:
    """A page lives from one app.open to the next, and does nothing by itself:

    1. `app.open(name, *args)` closes the page before, drops it and its code, and makes `Page(app, *args)`.
    2. Each gesture calls one of `turn`, `push_turn`, `push`, `hold` and `back`.
    3. In each step of the app there is one call of `step`.
    4. The screen calls `body`, or `redraw` after a turn, and `hint` whenever it draws (page_draw.py).
    5. `close` is the last call, and the place to put what the next opening needs into app.remembered.

    A page holds no light of its own: it calls the stage, and draws what the stage then says. It takes all measures
    from the canvas (row, head, foot, pad, line_height), so that one page serves every panel.
    """

    title = ""
    named = True  # a title of its own is a name, which may be cut
    hints = ()  # pairs (gesture, what it does now): gestures are turn, push, push+turn, hold, back, look, black
    parent = "home"  # the page to which the back key leads
    rough = False  # True: `redraw` leaves something out, which is drawn when the knob rests
    since = 0  # ms: when what the page waits for began; it may keep no other time (app_time.py moves this one)
    live = False  # True: what it shows moves by itself; it is drawn ten times a second

    def __init__(self, app):
        self.app = app

    def turn(self, detents):
        """The knob was turned."""

    def push_turn(self, detents):
        """The knob was turned while it was pushed."""

    def push(self):
        """The knob was pushed and let go."""

    def hold(self):
        """The knob was held down."""

    def back(self):
        """The back key was pushed."""
        self.leave()

    def leave(self):
        """Open the parent page."""
        self.app.open(self.parent)

    def step(self, now):
        """Do what is to be done in each step of the app. now: ms."""

    def close(self):
        """The page is being left."""

    def hint(self):
        """The hints of this moment: pairs (gesture, what it does now in one or two short words)."""
        return self.hints

    def body(self, c, top, bottom):
        """Draw between rows top and bottom of canvas c, which is empty there. May be a generator that yields where a
        step of the app may come in between: after every row or so. What the page read before a yield may have changed
        after a turn of the knob, but never after a push or a key."""

    def redraw(self, c, top, bottom):
        """Draw what the last turn of the knob changed over the body as it is: a generator. None: the whole body must be
        drawn again."""
