"""The small parts of the desktop's board: clock, knob, keys, buzzer, power; hal/contract.py, and what a hand does.

This module runs on the MicroPython VM too (sim/vm.py).
"""

KEYS = ("push", "back", "look", "black", "foot")


class Clock:
    """Virtual time: it stands until `pass_us`."""

    def __init__(self):
        self._us = 0

    def us(self):
        """Microseconds since power-up."""
        return self._us

    def ms(self):
        """Milliseconds since power-up."""
        return self._us // 1000

    def pass_us(self, us):
        """Let time pass."""
        self._us += us


class Knob:
    """A knob that a script turns."""

    def __init__(self):
        self._detents = 0

    def move(self, detents):
        """Turn it, + clockwise."""
        self._detents += detents

    def turns(self):
        """Detents since the last call."""
        detents, self._detents = self._detents, 0
        return detents


class Keys:
    """Keys that a script presses."""

    def __init__(self, names=KEYS):
        self.names = names
        self._down = 0

    def set(self, name, down):
        """Press or let go the key of that name. Errors: ValueError."""
        bit = 1 << self.names.index(name)
        self._down = self._down | bit if down else self._down & ~bit

    def down(self):
        """Keys held now, a bit a key."""
        return self._down


class Buzzer:
    """Keeps the tones that were asked for: (hz, ms)."""

    def __init__(self):
        self.tones = []

    def tone(self, hz, ms):
        """Note a tone."""
        self.tones.append((hz, ms))


class Power:
    """USB power unless told otherwise; a watchdog that notes when it would have bitten."""

    def __init__(self, clock, restarted="power"):
        self.restarted = restarted
        self.battery = None  # mV
        self.on_usb = True
        self.restart_asked = False
        self._clock = clock
        self._limit = 0
        self._fed = 0

    def battery_mv(self):
        """What a test set, or None."""
        return self.battery

    def usb(self):
        """What a test set."""
        return self.on_usb

    def watchdog(self, ms):
        """Start the watchdog."""
        self._limit = ms
        self._fed = self._clock.ms()

    def feed(self):
        """Feed the watchdog."""
        self._fed = self._clock.ms()

    def bites(self):
        """True if the watchdog has not been fed in time."""
        return bool(self._limit) and self._clock.ms() - self._fed > self._limit

    def restart(self):
        """Note that the firmware asked for a restart."""
        self.restart_asked = True


class Board:
    """The parts together, as hal/contract.Board."""

    def __init__(self, name, chip, lines, panel, disk, clock, keys=KEYS, restarted="power"):
        self.name = name
        self.chip = chip
        self.clock = clock
        self.lines = lines
        self.panel = panel
        self.knob = Knob()
        self.keys = Keys(keys)
        self.buzzer = Buzzer()
        self.power = Power(clock, restarted)
        self.disk = disk
