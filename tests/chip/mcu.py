"""The rest of the chip: rp2040py's clocks, resets, USB, ADC, watchdog and so on, beside the C half and on its time."""

import heapq
import itertools

from rp2040py.clock.simulation_clock import SimulationClock
from rp2040py.device.bootrom import BOOTROM_B1
from rp2040py.rp2040 import RP2040
from rp2040py.utils.logging import ConsoleLogger, LogLevel

from tests.chip.core import CYCLE_NS, NEVER, Core

DPRAM, DPRAM_END = 0x50100000, 0x50101000


class Alarm:
    """rp2040py's IAlarm."""

    def __init__(self, clock, callback):
        self._clock, self.callback = clock, callback
        self.due = None  # cycles; None: not scheduled

    def schedule(self, delta_nanos):
        self.due = self._clock.cycles + max(0, -int(-delta_nanos // CYCLE_NS))
        self._clock.add(self)

    def cancel(self):
        self.due = None


class Clock(SimulationClock):
    """rp2040py's IClock on the time of the C half."""

    def __init__(self):
        super().__init__()
        self.core = None  # until there is one, time stands still
        self._queue, self._order = [], itertools.count()

    @property
    def cycles(self):
        return self.core.head.now if self.core else 0

    @property
    def nanos(self):
        return self.cycles * CYCLE_NS

    @property
    def micros(self):
        return self.nanos / 1000

    def create_alarm(self, callback):
        return Alarm(self, callback)

    def add(self, alarm):
        heapq.heappush(self._queue, (alarm.due, next(self._order), alarm))
        self._tell()

    def _tell(self):
        while self._queue and self._queue[0][2].due != self._queue[0][0]:
            heapq.heappop(self._queue)
        if self.core:
            self.core.head.alarm = self._queue[0][0] if self._queue else NEVER

    def run(self):
        """Call what is due."""
        while self._queue and self._queue[0][0] <= self.cycles:
            due, _, alarm = heapq.heappop(self._queue)
            if alarm.due == due:
                alarm.due = None
                alarm.callback()
        self._tell()


class Mcu(RP2040):
    """rp2040py's chip whose processor, memory, pins, PIO, DMA, SPI, I2C, SIO, TIMER and flash are the C half's."""

    def __init__(self, cache):
        self.half = None
        super().__init__(Clock())
        self.logger = ConsoleLogger(LogLevel.ERROR)
        self.load_bootrom(BOOTROM_B1)
        rom = bytearray(b"".join(word.to_bytes(4, "little") for word in self.bootrom))
        self.half = Core(self.sram, self.flash, rom, self.usb_dpram, self._read, self._write, self.clock.run, cache)
        self.clock.core = self.half
        self.clock.run()

    def set_interrupt(self, irq, value):
        if self.half:
            self.half.irq(int(irq), bool(value))

    def read_uint32(self, address):
        return self.half.read(address) if self.half else super().read_uint32(address)

    def write_uint32(self, address, value):
        self.half.write(address, value & 0xFFFFFFFF)

    def _read(self, address):
        peripheral = self.find_peripheral(address)
        return int(peripheral.read_uint32(address & 0xFFF)) & 0xFFFFFFFF if peripheral else 0

    def _write(self, address, value):
        if DPRAM <= address < DPRAM_END:
            self.usb_ctrl.dpram_updated(address - DPRAM, value)
            return
        peripheral = self.find_peripheral(address)
        if peripheral:
            peripheral.write_uint32_atomic(address & 0xFFF, value, address >> 12 & 3)

    def restart(self, from_watchdog):
        """Put all in reset and start from flash; RAM, flash and the watchdog's scratch registers stay."""
        if from_watchdog:
            self.psm.write_uint32(8, self.half.read(0x40010008))
            self.resets.write_uint32(4, self.half.read(0x4000C004))
        self.watchdog.write_uint32(0, 0)
        self.enter_reset(from_watchdog=from_watchdog)
        self.half.reset()
