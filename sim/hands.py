"""The small parts of the desktop's board (hal/contract.py), as a script operates them: clock, knob, keys, buzzer,
power. This module runs on the MicroPython VM too (sim/vm.py)."""

KEYS = ("push", "back", "look", "black", "foot")


class Clock:
    """Virtual time: it passes only by `pass_us`."""

    def __init__(self):
        self._us = 0
        self._back = 0  # ms

    def us(self):
        """Microseconds since power-up."""
        return self._us

    def ms(self):
        """Milliseconds since power-up, less what it was moved back by."""
        return self._us // 1000 - self._back

    def back(self, ms):
        """Move `ms` back."""
        self._back += ms

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
        """Press the key of that name, or release it. Errors: ValueError."""
        bit = 1 << self.names.index(name)
        self._down = self._down | bit if down else self._down & ~bit

    def down(self):
        """The keys that are down, a bit for each."""
        return self._down


class Buzzer:
    """Notes the tones that are asked for: (Hz, ms)."""

    def __init__(self):
        self.tones = []

    def tone(self, hz, ms):
        """Note a tone."""
        self.tones.append((hz, ms))


class Led:
    """The board's lamp: `on`."""

    on = False

    def __call__(self, level):
        """Light it, or not."""
        self.on = bool(level)


class Power:
    """USB power unless a test sets another; a watchdog that only notes when it would have reset the chip."""

    def __init__(self, clock, restarted="power"):
        self.restarted = restarted
        self.crashes = 0
        self.battery = None  # mV
        self.on_usb = True
        self.restart_asked = False
        self._clock = clock
        self._limit = 0
        self._fed = 0

    def battery_mv(self):
        """The voltage that a test set, in mV, or None."""
        return self.battery

    def usb(self):
        """True while the device runs on USB."""
        return self.on_usb

    def watchdog(self, ms):
        """Start the watchdog."""
        self._limit = ms
        self._fed = self._clock.us()

    def feed(self):
        """Feed the watchdog."""
        self._fed = self._clock.us()

    def bites(self):
        """True where the watchdog has not been fed in time."""
        return bool(self._limit) and self._clock.us() - self._fed > self._limit * 1000

    def restart(self):
        """Note that the firmware asked for a restart."""
        self.restart_asked = True

    def calm(self):
        """The device has run well for a while."""
        self.crashes = 0


class Board:
    """The parts together, as hal/contract.Board has them."""

    def __init__(self, name, chip, lines, panel, disk, clock, keys=KEYS, restarted="power"):
        self.name = name
        self.chip = chip
        self.clock = clock
        self.lines = lines
        self.panel = panel
        self.knob = Knob()
        self.keys = Keys(keys)
        self.buzzer = Buzzer()
        self.led = Led()
        self.power = Power(clock, restarted)
        self.disk = disk
