"""A desk at the port in: through to the line, merged with the device's own lamps, and recorded to flash."""

from sim import wave
from tests.chip.checks_start import ended
from tests.chip.device import Device
from tests.feed import reader
from tests.feed import test_bench as bench
from tests.ui import hand

PERIODS_NS = 22_716_000, 40_000_000  # the closest that packets of 512 slots follow one another, and a slow desk
_NUMBER = 508  # the slots from here on, which no lamp of the demo show has, count the desk's packets
_CHUNK_MS = 100
NAMED = "pico_tft", "demo"


class Desk:
    """Sends packets into the port in of a device, and into its twin's. slots: what it sends, the last four counting;
    ends: {number: ns at the packet's end}."""

    def __init__(self, device):
        self.device, self.period_ns = device, PERIODS_NS[0]
        self.slots, self.number, self.ends = bytes(512), 0, {}
        self._pin = device.board.LINES[1]["rx"]
        device.chip.drive(self._pin, 1)
        self._twin = bench.Desk(device.twin)
        self._next = device.ns + 1_000_000

    def ahead(self, ms):
        """Send for so long from now, while the device is used."""
        while self._next < self.device.ns + ms * 1e6:
            self.number += 1
            edges, end = wave.packet(self._next, self.slots[:_NUMBER] + self.number.to_bytes(4, "big"))
            self.device.chip.drive_all(self._pin, [(ns - self.device.ns, level) for ns, level in edges])
            self.ends[self.number] = end
            self._next += max(self.period_ns, end - self._next + 100_000)

    def run(self, ms):
        """Send while time passes."""
        self._twin.slots = self.slots
        for _ in range(round(ms / _CHUNK_MS)):
            self.ahead(_CHUNK_MS)
            self.device.chip.run(_CHUNK_MS)
            self._twin.run(_CHUNK_MS / 1000)

    # --- hands on the device, with the desk going on ---

    @property
    def app(self):
        return self.device.app

    def press(self):
        """Push the knob."""
        self.ahead(500)
        self.device.press()
        self.run(300)

    def hold(self):
        """Hold the knob."""
        self.ahead(1200)
        self.device.hold()
        self.run(300)

    def tap(self, name):
        """Press a key."""
        self.ahead(500)
        self.device.tap(name)
        self.run(300)

    def turn(self, detents):
        """Turn the knob."""
        self.ahead(100 + 40 * abs(detents))
        self.device.turn(detents)


def feed(report, uf2, long):
    """All of it. long: for longer."""
    device = Device(uf2, *NAMED)
    device.start()
    desk = Desk(device)
    desk.slots = bytes(3 * n & 255 for n in range(512))
    desk.run(3000)
    out = device.line.before(device.ns)
    report.check("a desk goes through to the slots of nobody", out[200:_NUMBER] == desk.slots[200:_NUMBER], "3 s")
    report.check("with the device's own lamps, as in the simulator", out[:200] == device.twin.frame[:200], "to 200")
    through(report, device, desk, 20 if long else 4)
    record(report, device, desk, 20 if long else 4)
    capture_pages(report, device, desk)
    ended(report, device)


def capture_pages(report, device, desk):
    """The pages of a capture, from the list of captures, the feed going on."""
    desk.turn(1)
    for page, gesture in (("capture_settings", desk.hold), ("captures", lambda: desk.tap("back")),
                          ("capture_play", desk.press)):
        gesture()
        report.check(f"the page {page} opens", device.app.page_name == page,
                     f"{device.app.page_name} in the simulator, {device.differs():.1%} of the panel is not as there")


def through(report, device, desk, seconds):
    """From a packet's end to the break of the first packet that has its values."""
    waits, sent = [], 0
    for period in PERIODS_NS:
        desk.period_ns, first, begun = period, desk.number + 1, device.ns
        desk.run(seconds * 1000)
        last = desk.number - 3  # those after may not have gone out yet
        seen = {}
        for ns, slots in device.line.since(begun):
            seen.setdefault(int.from_bytes(slots[_NUMBER:], "big"), ns)
        numbers = range(first, last + 1)
        waits += [(seen[n] - desk.ends[n]) / 1e6 for n in numbers if n in seen]
        sent += len(numbers)
    report.check("the desk's packets go out", len(waits) > sent * 0.9,
                 f"{len(waits)} of {sent}; the others were replaced by the next before the line was free")
    median = sorted(waits)[len(waits) // 2]
    report.figure("through_ms_worst", NAMED, max(waits), f"[{len(waits)} packets, median {median:.1f}]")
    report.check("no packet is torn", device.line.bad == 0, f"{device.line.bad} bad")


def record(report, device, desk, seconds):
    """A capture, as it lies on the flash."""
    desk.period_ns = PERIODS_NS[0]
    desk.tap("back")
    hand.pick(desk, "Feed", "Captures", "+ Record the feed")
    first = desk.number
    desk.press()
    desk.run(seconds * 1000)
    desk.press()
    last = desk.number
    desk.run(4000)
    captured = [data for path, data in device.chip.files().items() if path.endswith(".cap")]
    numbers = [int.from_bytes(slots[_NUMBER:], "big") for _, slots in reader.frames(captured[0])] if captured else []
    gaps = [b - a for a, b in zip(numbers, numbers[1:]) if b != a + 1]
    report.check("a capture has every packet, and no other",
                 len(numbers) > seconds * 40 and not gaps and first <= numbers[0] and numbers[-1] <= last,
                 f"{len(numbers)} packets in {seconds} s and some, {len(gaps)} gaps")
