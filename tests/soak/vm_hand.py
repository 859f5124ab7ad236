"""Runs on the MicroPython VMs: the hand of the soak there. A shorter sister of walk.py: what it needs fits beside the
firmware into a chip's heap. tests/soak/vm.py runs it, behind tests/vm/scene.py's head, which gives `disk` and sim.vm.
"""

import firmware.parts

KINDS = ("turn",) * 40 + ("push",) * 32 + ("push_turn",) * 8 + ("hold push",) * 7 + ("back",) * 6 + (
    "hold back", "look", "hold look", "black", "black")
FAR = (1, 1, 1, 2, 3, 5, 12, 40)
PAGES = ("light_pick", "looks", "run", "effects", "meter", "slate", "rig", "sheet", "slots", "groups", "load",
         "settings", "selftest", "faults", "about", "storage", "shows", "light", "home")


class Faulty:
    """A disk that can fail: `odds` in 100."""

    def __init__(self, disk, hand):
        self._disk, self._hand, self.odds = disk, hand, 0

    def __getattr__(self, name):
        if self.odds and self._hand.random(100) < self.odds:
            raise OSError(5, name)
        return getattr(self._disk, name)


class Hand:
    """Counts: gestures, restarts, gave_way. The same gestures from the same seed on every machine."""

    def __init__(self, disk, size, seed, age):
        self.seed, self.size, self.age = seed, size, age
        self.disk = Faulty(disk, self)
        self.gestures = self.restarts = self.gave_way = 0
        self.device = None
        self.start()

    def start(self):
        """Power up; what ran before is gone, code and all."""
        self.device = None
        for part in firmware.parts._open[:]:
            part.close()
        self.device = sim.vm.Bare(self.disk, sim.vm.Panel(*self.size))  # noqa: F821
        self.device.age(self.age)

    def random(self, n):
        """0..n-1."""
        self.seed = (self.seed * 1103515245 + 12345) & 0x7FFFFFFF
        return (self.seed >> 8) % n

    def step(self, ms):
        """A step of the loop after so many ms, as firmware/main.py does it."""
        device = self.device
        device.clock.pass_us(ms * 1000)
        try:
            device.app.step(device.clock.ms())
        except MemoryError:
            self.gave_way += 1
            if not device.app.give_way():
                raise

    def key(self, name, ms, turn=0):
        """Press a key for so long."""
        board = self.device.board
        board.keys.set(name, True)
        self.step(20)
        board.knob.move(turn)
        self.step(ms)
        board.keys.set(name, False)
        self.step(20)

    def gesture(self):
        """One random gesture."""
        kind, far = KINDS[self.random(len(KINDS))], FAR[self.random(len(FAR))]
        far = far if self.random(2) else -far
        if kind == "turn":
            self.device.board.knob.move(far)
            self.step((5, 20, 40, 400)[self.random(4)])
        elif kind == "push_turn":
            self.key("push", 40, far)
        elif kind[:5] == "hold ":
            self.key(kind[5:], 700)
        else:
            self.key(kind, 60)
        for _ in range(3):
            self.step(10)
        del self.device.board.buzzer.tones[:]  # the stand-in notes them all, and no chip does
        self.gestures += 1

    def walk(self, count, rough):
        """So many gestures. rough: with restarts."""
        for _ in range(count):
            if not self.random(20) and not self.device.app.locked:
                self.open(PAGES[self.random(len(PAGES))])
            if not self.random(300):
                self.disk.odds = (0, 30, 100)[self.random(3)]
            if self.disk.odds and not self.random(30):
                self.disk.odds = 0
            if rough and not self.disk.odds and not self.random(150):
                self.restarts += 1
                self.start()
            self.gesture()
        self.disk.odds = 0

    def open(self, name):
        """Open a page, as a gesture does (app_loop.py)."""
        try:
            self.device.app.open(name)
        except OSError:
            self.device.app.refuse_page()

    def rest(self):
        """Page Light of the show "yardstick", with nothing on: where the heap is weighed."""
        app = self.device.app
        app.locked = False
        for name in PAGES:
            app.open(name)
            self.step(20)
        app.open_show("yardstick")
        for _ in range(400):
            self.step(40)
        app.undo = []
        self.device.board.buzzer.tones = []  # the stand-in notes them all
        app.log._last = None
        app.remembered.clear()
