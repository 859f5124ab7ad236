"""A DMX512 port on a plain machine.UART: for the ESP32-S3, and anywhere as a fallback. Made by hal/esp32/make.

The break is the byte 0 at a lower rate: its start bit and eight data bits are the break, its two stop bits the
beginning of the mark. Then the rate is set back to 250,000 and the whole packet is written to the driver's buffer,
which the chip empties by interrupt. A timer steps between the two, so nothing waits; it counts in milliseconds, so
the mark is 1 to 2 ms long and 512 slots go out about 40 times a second. Unlike on the RP2, the processor has to act
twice a packet: while it cannot, the line idles between packets, which ANSI E1.11 allows up to a second.
"""

from micropython import const

from firmware.wire import dmx
from hal.line import Port

_BREAK_BITS = const(9)
_BREAK_MAX_US = const(9_000)  # at 1,000 baud
_LONGEST_MS = const(990)  # break to break stays under 1 s even if the timer comes late
_ONE_SHOT = const(0)  # Timer.ONE_SHOT of every port
_BREAK, _SLOTS = const(0), const(1)
_TICKS = const(0x3FFFFFFF)  # ticks_ms of the chips wraps above this
_ZERO = b"\x00"
TXBUF = const(600)  # bytes of the driver's buffer: more than a packet


class Line(Port):
    """uart: machine.UART with a transmit buffer of TXBUF; timer: a machine.Timer that nobody else uses; ticks_ms: a
    function; drive: called with the level of the driver's enable pin, or None; line_in, held: as Port's; store: called
    with the slots of each send(), for a restart, or None."""

    rdm = ""  # nothing but the timer's step, some ms later, could let go of the line: ANSI E1.20 wants it within 88 us

    def __init__(self, uart, timer, ticks_ms, drive=None, line_in=None, held=None, store=None):
        super().__init__(line_in, held)
        self._uart, self._timer, self._ticks_ms = uart, timer, ticks_ms
        self._drive_pin, self._store = drive, store
        self._packets = bytearray(dmx.SLOTS_MAX + 1), bytearray(dmx.SLOTS_MAX + 1)
        self._views = [memoryview(packet)[:0] for packet in self._packets]
        self._next = _BREAK
        self._began = 0  # ms: when the last break was sent
        self._on_time = self._step  # bound once: starting the timer must not allocate
        self.timing()

    def send(self, slots):
        count = len(slots)
        dmx.check_slots(count)
        n = 1 if self._newest == 0 else 0
        if len(self._views[n]) != count + 1:
            self._views[n] = memoryview(self._packets[n])[: count + 1]
        self._views[n][1:] = slots
        self._newest = n  # the timer's step runs before this or after it, and copies the packet whole
        if self._store:
            self._store(slots)
        if self._drive and not self._sending:
            self._start()

    def timing(self, hz=0, break_us=dmx.BREAK_US, mark_us=dmx.MARK_US):
        dmx.check_timing(hz, break_us, mark_us)
        if break_us > _BREAK_MAX_US:
            raise ValueError("this port's break is 9,000 us at most, not %d" % break_us)
        self._break_baud = _BREAK_BITS * 1_000_000 // break_us
        self._break_ms = 1 + (break_us * 11 // _BREAK_BITS + mark_us) // 1000
        self._period_ms = min(_LONGEST_MS, (999 + hz) // hz) if hz else 0

    def _start(self):
        self._sending, self._next = True, _BREAK
        if self._drive_pin:
            self._drive_pin(1)
        self._step(None)

    def _stop(self):
        self._sending = False
        if self._drive_pin:
            self._drive_pin(0)

    def _step(self, _timer):
        """Do what is next, and set the timer for what comes after; try again in 1 ms while the UART is busy."""
        if not self._sending:
            return
        wait = 1
        if self._uart.txdone():
            wait = self._send_break() if self._next == _BREAK else self._send_slots()
        self._timer.init(mode=_ONE_SHOT, period=wait, callback=self._on_time)

    def _send_break(self):
        """Send the break: ms until the slots may follow."""
        self._began = self._ticks_ms()
        self._set_rate(self._break_baud)
        self._uart.write(_ZERO)
        self._next = _SLOTS
        return self._break_ms

    def _send_slots(self):
        """Send the start code and the slots: ms until the next break."""
        packet = self._views[self._newest]
        self._set_rate(dmx.BAUD)
        self._uart.write(packet)
        self._next = _BREAK
        least = 1 + len(packet) * dmx.SLOT_US // 1000
        return max(least, self._period_ms - (self._ticks_ms() - self._began & _TICKS))

    def _set_rate(self, baud):
        self._uart.init(baudrate=baud, bits=8, parity=None, stop=2)
