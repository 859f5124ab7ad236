"""One device that is operated: a Bench with the recorder, the feed and the lamps around it.

The page's server steps it and shows it; sim/vm_session.py has a machine that runs on the MicroPython VM. Time is handed
in as passes of the firmware's loop; nothing here reads a clock.
"""

from firmware.parts import once
from firmware.show import rig_edit
from sim import feeds
from sim.disk import MemoryDisk
from sim.lamps import Lamp
from sim.measure import measured
from sim.play import STEP_MS
from sim.rdm_desk import Desk
from sim.recorder import Recorder
from sim.scene import description, spots

RESTART_MS = 300  # from an error to the firmware's start: about as long as a chip takes
MOST_DETENTS = 100  # of one message: no person turns further at once


class Session:
    """A device from power-up on. machine: an object with Bench's inputs and outputs (see OnPython). It begins with a
    show, or with the files of another machine's disk."""

    def __init__(self, machine):
        self.machine = machine
        self.recorder = Recorder()
        self.step_ms = STEP_MS
        self.feed = self.desk = None
        self.feed_name = ""
        self.by_network = False  # the device was let listen to sACN
        self._feed_ms = self._feed_next = 0
        self._down = set()
        self._edges = []  # presses and releases that wait for the next pass of the loop: (name of the key, down)
        self._changed = set()  # keys with a press or release since the last pass
        self.lamps = []
        self.set = description([])
        self._patch = None
        self.update_lamps()

    @property
    def ms(self):
        """Virtual time since power-up, ms."""
        return self.machine.ms

    def pace(self, step_ms):
        """How long a pass of the firmware's loop takes from now on, ms."""
        if step_ms != self.step_ms:
            self.step_ms = step_ms
            self.recorder.note(self.ms, f"b.step_ms = {step_ms}")

    def step(self, count=1):
        """Let `count` passes of the firmware's loop happen."""
        while count > 0:
            passes = 1 if self._edges else count
            self._pass(passes)
            count -= passes
            self._changed.clear()
            self._take_edges()

    def _pass(self, count):
        if self.feed is None:
            self.machine.step(count, self.step_ms)
        else:
            for _ in range(count):
                self._play()
                self.machine.step(1, self.step_ms)
        slots = self.machine.frames
        for lamp in self.lamps:
            lamp.step(slots, count * self.step_ms / 1000)

    def turn(self, detents):
        """Turn the knob, all detents at once. Errors: ValueError for more than a person can do."""
        if not isinstance(detents, int) or abs(detents) > MOST_DETENTS:
            raise ValueError(f"turn: {detents!r} is not a number of detents up to {MOST_DETENTS}")
        self.machine.turn(detents)
        self.recorder.note(self.ms, f"b.turn({detents}, detent_ms=0)")

    def key(self, name, down):
        """Press a key or release it; a press that was not seen yet is first let be seen, as a busy computer may hand
        both in at once. Errors: ValueError for a name that the board does not have."""
        if name not in self.machine.keys:
            raise ValueError(f"no key called {name!r}; there are: {', '.join(self.machine.keys)}")
        self._edges.append((name, down))
        self._take_edges()

    def _take_edges(self):
        """Hand on what the firmware can tell apart: one press or release of a key in a pass of its loop."""
        while self._edges and self._edges[0][0] not in self._changed:
            name, down = self._edges.pop(0)
            self._changed.add(name)
            self.machine.key(name, down)
            (self._down.add if down else self._down.discard)(name)
            self.recorder.note(self.ms, f"b.key_{'down' if down else 'up'}({name!r})")

    def let_go(self):
        """Release all keys."""
        for name in sorted(self._down | {name for name, _down in self._edges}):
            self.key(name, False)

    def power(self, on):
        """Cut the power, or restore it."""
        if on == self.machine.powered:
            return
        self.machine.power(on)
        self.recorder.note(self.ms, "b.boot()" if on else "b.cut_power()")
        self.update_lamps()

    def restart(self):
        """Restart the chip, as by its reset pin."""
        self.machine.restart()
        self.recorder.note(self.ms, "b.restart()")

    def trim(self, names, keep=True):
        """Measure fixtures with the simulated meters and set their trims on the device; keep False: remove them -> what
        was done, in words. Errors: ValueError: no such fixture."""
        known = {fixture["name"]: lamp for fixture, lamp in zip(self.fixtures, self.lamps, strict=True)}
        for name in names:
            if name not in known:
                raise ValueError(f"no fixture called {name!r}")
            trims = measured(known[name]) if keep else dict.fromkeys(("curve", "white", "lag"))
            self.machine.trim(name, trims)
            self.recorder.note(self.ms, f"rig_edit.trim(b.app.show.rig, b.app.show.rig.find({name!r}), **{trims!r})")
            self.recorder.note(self.ms, "b.app.show.save_rig()")
        return ", ".join(names) + (": measured, trims handed over" if keep else ": trims taken away")

    def play(self, name, feed):
        """Send a feed (sim/feeds.py) into the device by the cable from now on; None stops. The name "sacn" lets the
        device listen to the network too, until all stops. Errors: ValueError: it has no radio."""
        if name == "sacn" and not self.machine.has_radio:
            raise ValueError("This device has no radio: choose the board s3_tft or pico2_w_tft")
        if name == "sacn" or feed is None and self.by_network:
            self.by_network = name == "sacn"
            self.machine.by_network(self.by_network)
            self.recorder.note(self.ms, "pass  # the feed comes by sACN from here on, or no more: not in this script")
        self.feed, self.feed_name = feed, name
        self.desk = Desk() if name == "rdm" else None
        self._feed_ms = self._feed_next = self.ms

    def _play(self):
        if self.feed is None or self.ms < self._feed_next:
            return
        slots = self.feed(self.ms - self._feed_ms)
        self._feed_next = self.ms + feeds.PERIOD_MS
        if slots is not None:
            self.machine.receive(slots)
            self.recorder.note(self.ms, f'b.input.receive(bytes.fromhex("{slots.hex()}"))')
        packet = self.desk and self.desk.step(feeds.PERIOD_MS / 1000)
        if packet:
            self.desk.hear(self.machine.ask_in(packet))
            self.recorder.note(self.ms, f'b.input.ask_in(bytes.fromhex("{packet.hex()}"))')

    def update_lamps(self):
        """Put a lamp on the set for each fixture that is patched now -> True where the rig has changed."""
        rig = self.machine.rig()
        if rig == self._patch:
            return False
        self._patch = rig
        names = [fixture["name"] for fixture in rig]
        self.set = description(names)
        self.lamps = [
            Lamp(fixture["channels"], fixture["emitters"], fixture["address"], spot["nature"])
            for fixture, spot in zip(rig, spots(names), strict=True)
        ]
        return True

    @property
    def fixtures(self):
        """The rig as JSON can hold it: name, address, channels, emitters."""
        return self._patch

    def script(self):
        """What was done, as a Python file."""
        return self.recorder.script(self.machine, self.ms)


class OnPython:
    """The firmware under CPython: what a Session needs of a machine, by means of a Bench."""

    name = "CPython"

    def __init__(self, board, show, files=None):
        self.board, self.show, self.begun_with = board, show, files
        disk = None if files is None else MemoryDisk(files)
        self.bench = self.make_bench()(board, show if files is None else None, disk, self.make_air())
        self.keys = tuple(self.bench.board.keys.names)
        self.chip = self.bench.board.chip
        self.trouble = ""
        self._again = None  # ms at which the chip has started again after an error
        self._rig = []

    def make_bench(self):
        """The class of its Bench."""
        from sim import Bench

        return Bench

    def make_air(self):
        """What its radio hears, if it has one: what programs on this computer send."""
        from sim.radio import LOOPBACK, Air

        return Air(LOOPBACK)

    @property
    def has_radio(self):
        """True where the device can be given sACN."""
        return self.bench.air is not None

    @property
    def heard(self):
        """What its radio hears, in words; "" where it is off."""
        source = self.bench.app.input if self.powered else None
        return _heard(source) if hasattr(source, "radio") else ""

    def by_network(self, on):
        """Let the feed come by sACN, over the first Wi-Fi that there is, or by the cable: as its page Network does."""
        if not (self.powered and self.has_radio):
            return
        wifi, password = list(self.bench.air.wifi.items())[0]
        for key, value in (("wifi", wifi), ("password", password)) if on else ():
            once("firmware.ui.pages.settings.network", "put", self.bench.app, key, value)
        once("firmware.ui.pages.settings.network", "put", self.bench.app, "on", int(on))

    @property
    def ms(self):
        return self.bench.clock.ms()

    @property
    def powered(self):
        return self.bench.app is not None

    @property
    def frame(self):
        return self.bench.frame

    @property
    def frames(self):
        """Of all ports that send, one after the other."""
        return self.bench.frames

    @property
    def line(self):
        return self.bench.line

    @property
    def counts(self):
        """What the receiver made of what came in."""
        return self.bench.input.counts

    @property
    def panel(self):
        """What the eye sees: width, height, rgb(top, bottom), touched(), light."""
        return self.bench.panel

    @property
    def lines(self):
        return self.bench.lines if self.powered else []

    @property
    def parts(self):
        """Into how many parts the device's user has stops divided, as its page Meter has it: 10 or 3."""
        return 3 if self.powered and self.bench.app.settings["level"] else 10

    def step(self, count, ms):
        """Do `count` passes of the loop, of ms each. After an error in the firmware only the line goes on until the
        chip has started again, as main.py has it."""
        self.bench.step_ms = ms
        for _ in range(count):
            if self._again is None:
                self._try(self.bench.step)
            elif self.ms >= self._again:
                self._again = None
                self._try(self.bench.restart)
            else:
                self.bench.clock.pass_us(ms * 1000)
                self.bench.line.run_until(self.bench.clock.us())

    def _try(self, call, *args):
        """Call into the firmware. Whatever it raises is kept in `trouble`, and the chip starts again."""
        try:
            call(*args)
        except Exception as error:
            self._again = self.ms + RESTART_MS
            where = self._crashed(error)
            try:
                self.bench.app.log.add(self.ms, f"Crashed: {error!r}", where)  # as main.py does
            except Exception:  # a log that fails too is ignored
                pass

    def _crashed(self, error):
        """Keep the traceback of an error in `trouble` -> where it was."""
        import traceback

        self.trouble = traceback.format_exc()
        where = traceback.extract_tb(error.__traceback__)[-1]
        return f"{where.filename}, line {where.lineno}"

    def turn(self, detents):
        if self.powered:
            self.bench.turn(detents, detent_ms=0)

    def key(self, name, down):
        if self.powered:
            (self.bench.key_down if down else self.bench.key_up)(name)

    def receive(self, slots):
        self.bench.input.receive(slots)

    def ask_in(self, packet):
        """A desk asks by RDM -> what it hears."""
        return self.bench.input.ask_in(packet)[0]

    @property
    def asked_in(self):
        """What desks have asked by RDM: as Line.asked."""
        return self.bench.input.asked if self.bench.input is not self.bench.line else []

    def power(self, on):
        """Cut the power or restore it; either ends what an error left."""
        self.trouble, self._again = "", None
        if on:
            self._try(self.bench.boot)
        else:
            self.bench.cut_power()

    def files(self):
        """What is on the disk: {path: bytes}."""
        return dict(self.bench.disk.files)

    def trim(self, name, trims):
        """Set trims of a fixture and save the rig."""
        if self.powered:
            show = self.bench.app.show
            rig_edit.trim(show.rig, show.rig.find(name), **trims)
            show.save_rig()

    def rig(self):
        """The fixtures that are patched now, as plain values; without power, those before."""
        if self.powered:
            self._rig = [
                {
                    "name": fixture.name,
                    "address": fixture.address,
                    "channels": [list(channel) for channel in fixture.personality.channels],
                    "emitters": [list(emitter) for emitter in fixture.personality.emitters],
                }
                for fixture in self.bench.app.show.rig.fixtures
            ]
        return self._rig

    def restart(self):
        """Restart the chip with its power on."""
        if self.powered:
            self.trouble, self._again = "", None
            self._try(self.bench.restart)

    def tones(self):
        """What the buzzer was asked for since the last call: pairs of Hz and ms."""
        if not self.powered:
            return []
        tones, self.bench.board.buzzer.tones = self.bench.board.buzzer.tones, []
        return tones

    def forgive(self):
        """The user has read the traceback."""
        if self._again is None:
            self.trouble = ""

    def vitals(self):
        """Heap in use and time of a step, where they mean something; under CPython they do not."""
        return ""

    def close(self):
        """End it: what listens to the network stops."""
        if self.has_radio:
            self.bench.air.close()


def _heard(source):
    """Who sends to a source of sACN, in words."""
    told = [f"{one.name} with priority {one.priority}" + ("" if source.sources.makes(one) else ", which waits")
            for one in source.sources.sources]
    told += [f"{name} lists " + ", ".join(map(str, universes)) for _cid, name, universes, _ms in source.found.sources]
    counts = source.sources.counts
    bad = ", ".join(f"{n} {why}" for why, n in counts.items() if why != "good")
    who = "; ".join(told) or "nobody"
    universe = source.settings["universe"]
    return (f"The feed comes from: {source.who()}. sACN at {source.word()}, universe {universe}: {who}. "
            f"{counts['good']} packets, {bad}")
