"""An RP2040 of rp2040py with its known faults mended from outside: time, PIO and USB go on as on a chip.

Mended: a sleeping processor lets PIO take every step that is due; a state machine may take several steps during one
instruction of the processor, with DMA in between; the USB host answers a read only when it has something to say (its
empty answers are an interrupt storm); a restart ends every DMA transfer. Not mended, and not used here: UART, a second
core, the time that UART, SPI and flash take, the wait states of the flash. So times of the processor are a little
better than on a chip.
"""

import littlefs
from rp2040py.device.bootrom import BOOTROM_B1
from rp2040py.device.load_flash import load_uf2
from rp2040py.memory_map import FLASH_START_ADDRESS
from rp2040py.rp2040 import RP2040
from rp2040py.usb.cdc import USBCDC
from rp2040py.utils.logging import ConsoleLogger, LogLevel

CYCLE_NS = 8
FS_START, FS_BLOCKS, BLOCK = 0xA0000, 352, 4096  # of the official image for the Pico: 1,408 KiB at the end of 2 MiB
DISK_VERSION = 0x00020000


def disk(files):
    """A littlefs image. files: {path: bytes}."""
    fs = littlefs.LittleFS(block_size=BLOCK, block_count=FS_BLOCKS, disk_version=DISK_VERSION)
    for path, data in files.items():
        folder = path.rpartition("/")[0]
        if folder:
            fs.makedirs(folder, exist_ok=True)
        with fs.open(path, "wb") as file:
            file.write(data)
    return bytes(fs.context.buffer)


class Emulated:
    """uf2: path of the MicroPython image, or None for a chip with empty flash; files: {path: bytes} of its file
    system. said: what came over USB; edges: {pin: [(ns, level)]} for pins given to watch()."""

    def __init__(self, uf2=None, files=None):
        self.mcu = RP2040()
        self.mcu.logger = ConsoleLogger(LogLevel.ERROR)
        self.mcu._simulator = self  # else its PIO would look for an event loop
        self.mcu.load_bootrom(BOOTROM_B1)
        self.restarts = []  # ns
        self.said = bytearray()
        self.edges = {}
        self._drives = []  # (ns, pin, level) to come
        if uf2:
            load_uf2(uf2, self.mcu)
        if files is not None:
            self.mcu.flash[FS_START : FS_START + FS_BLOCKS * BLOCK] = disk(files)
        self._usb()
        self.mcu.watchdog.on_watchdog_trigger = self._restart
        self.mcu.leave_reset()

    @property
    def ns(self):
        return round(self.mcu.clock.nanos)

    def _usb(self):
        self._cdc = USBCDC(self.mcu.usb_ctrl)
        self._cdc.on_serial_data = self.said.extend
        answer, self._asked = self.mcu.usb_ctrl.on_endpoint_read, None

        def wait(endpoint, size):
            if endpoint == self._cdc._out_endpoint and self._cdc.tx_fifo.empty:
                self._asked = endpoint, size
            else:
                answer(endpoint, size)

        self.mcu.usb_ctrl.on_endpoint_read = wait
        self._answer = answer

    def type(self, text):
        """Type on the USB console."""
        for byte in text.encode():
            self._cdc.send_serial_byte(byte)
        if self._asked:
            asked, self._asked = self._asked, None
            self._answer(*asked)

    def _restart(self):
        self.restarts.append(self.ns)
        self._asked = None
        self.mcu.enter_reset(from_watchdog=True)
        for channel in self.mcu.dma.channels:
            channel.abort()
        self.mcu.leave_reset()

    def watch(self, pin):
        """Keep the edges of a pin."""
        edges = self.edges[pin] = []

        def changed(state, _old):
            level = {0: 0, 1: 1}.get(int(state))
            if level is not None and (not edges or edges[-1][1] != level):
                edges.append((self.ns, level))

        self.mcu.gpio[pin].add_listener(changed)
        return edges

    def drive(self, pin, level, ns=0):
        """Drive an input pin, `ns` from now."""
        self._drives.append((self.ns + ns, pin, level))
        self._drives.sort()
        self._play()

    def run(self, ms, until=None):
        """Let time pass. until: a function asked every 0.1 ms that ends it earlier. True if it did."""
        end, ask = self.ns + round(ms * 1e6), self.ns
        while self.ns < end:
            self._some(min(end, self.ns + 100_000))
            if until and self.ns >= ask:
                ask += 100_000
                if until():
                    return True
        return False

    def _some(self, end):
        """Up to the next thing due, at most to `end`: the processor's instructions, then PIO, DMA and pins."""
        core, budget = self.mcu.core, self._due(end)
        if core.waiting:
            self._pass(budget)
            return
        done = 0
        while done < budget and not core.waiting:
            done += core.execute_instruction()
        self._pass(max(done, 1))

    def _due(self, end):
        """Cycles to the next alarm, PIO step or driven pin; at least 1."""
        clock = self.mcu.clock
        cycles = (end - clock.nanos) / CYCLE_NS
        if clock.has_scheduled_alarm:
            cycles = min(cycles, clock.nanos_to_next_alarm / CYCLE_NS)
        if self._drives:
            cycles = min(cycles, (self._drives[0][0] - clock.nanos) / CYCLE_NS)
        for block in self.mcu.pio:
            if not block.stopped:
                cycles = min(cycles, (block.next_due_fp - block.cycle_fp) / 256)
        return max(1, int(cycles))

    def _pass(self, cycles):
        """Time for all but the processor, in steps that no state machine is late for."""
        while cycles > 0:
            step = min(cycles, self._due(self.ns + cycles * CYCLE_NS))
            self.mcu.clock.tick(step * CYCLE_NS)
            for block in self.mcu.pio:
                if not block.stopped:
                    block.advance(step)
            self._play()
            cycles -= step

    def _play(self):
        while self._drives and self._drives[0][0] <= self.ns:
            _, pin, level = self._drives.pop(0)
            self.mcu.gpio[pin].set_input_value(bool(level))


def spin(chip, words=(0xE7FE,)):
    """Put a loop into an empty chip's flash (default: a branch to itself) and start it. For tests of this module."""
    for n, word in enumerate(words):
        chip.mcu.flash[2 * n : 2 * n + 2] = word.to_bytes(2, "little")
    chip.mcu.core.pc = FLASH_START_ADDRESS
