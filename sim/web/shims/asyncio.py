"""The one thing of asyncio that sim/live.py makes: an event that nobody awaits here, as the worker keeps time."""


class Event:
    """A flag."""

    def __init__(self):
        self._on = False

    def set(self):
        """Raise it."""
        self._on = True

    def clear(self):
        """Lower it."""
        self._on = False

    def is_set(self):
        """Whether it is raised."""
        return self._on
