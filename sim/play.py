"""What a person does with the knob and keys, on the virtual clock: turn, press and wait. Used by Bench (CPython) and
sim/vm.py; this module runs on the MicroPython VM too."""

STEP_MS = 4  # from one pass of the firmware's loop to the next, unless a script sets step_ms
_TAP_MS = 80
_HOLD_MS = 800
_DETENT_MS = 40


class Hand:
    """The gestures. `step()` of the class that has them lets step_ms pass and runs the app once."""

    board = None
    step_ms = STEP_MS

    def run(self, seconds):
        """Let time pass."""
        for _ in range(int(seconds * 1000 / self.step_ms + 0.5)):
            self.step()

    def turn(self, detents, detent_ms=_DETENT_MS):
        """Turn the knob, + clockwise, at an even pace."""
        for _ in range(abs(detents)):
            self.board.knob.move(1 if detents > 0 else -1)
            self.run(detent_ms / 1000)

    def key_down(self, name):
        """Press a key, and leave it down."""
        self.board.keys.set(name, True)

    def key_up(self, name):
        """Release a key."""
        self.board.keys.set(name, False)

    def tap(self, name):
        """Press a key and release it."""
        self.key_down(name)
        self.run(_TAP_MS / 1000)
        self.key_up(name)
        self.run(_TAP_MS / 1000)

    def press(self):
        """Push the knob and release it."""
        self.tap("push")

    def hold(self, name="push", seconds=_HOLD_MS / 1000):
        """Hold a key down, then release it."""
        self.key_down(name)
        self.run(seconds)
        self.key_up(name)
        self.run(_TAP_MS / 1000)

    def push_turn(self, detents):
        """Turn the knob while it is pushed."""
        self.key_down("push")
        self.run(_TAP_MS / 1000)
        self.turn(detents)
        self.key_up("push")
        self.run(_TAP_MS / 1000)
