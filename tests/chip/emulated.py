"""An emulated RP2040 that runs a MicroPython image: the processor and all that is quick in C (c/chip.c), what is rarely
asked in rp2040py. Time is in cycles of a 125 MHz system clock.

What takes time here, beside the processor's own cycles: the boot ROM on the ring oscillator and the crystal's start,
misses of the XIP cache (unless cache=False), erasing and programming flash, SPI, I2C, the bridge to slow peripherals.
What takes none: UART, a PLL's lock, two masters at one bank of RAM. There is no second core.
"""

import heapq
import random

import littlefs
from rp2040py.device.load_flash import load_uf2
from rp2040py.memory_map import FLASH_START_ADDRESS
from rp2040py.usb.cdc import USBCDC

from tests import littlefs_files
from tests.chip.core import CYCLE_NS, LOCKUP, RESTART
from tests.chip.mcu import CLK_SYS, CLOCKS, Mcu

FS_START, FS_BLOCKS, BLOCK = 0xA0000, 352, 4096  # of the official image for the Pico: 1,408 KiB at the end of 2 MiB
FS_END = FS_START + FS_BLOCKS * BLOCK
DISK_VERSION = 0x00020000
START, STOP, NO_ANSWER, READING = 0x100, 0x200, 0x400, 1  # in the log of an I2C bus (c/chip.h)
USB_POWER = 24  # the pin of a Pico that is high while its USB plug has power


class _Image(littlefs.UserContext):
    """littlefs on an image in memory."""

    def __init__(self, image):
        self.buffer = bytearray(image)


def _mounted(image):
    """What is there, of whatever version. Errors: littlefs.LittleFSError where there is no file system."""
    fs = littlefs.LittleFS(_Image(image), mount=False, block_size=BLOCK, block_count=FS_BLOCKS)
    fs.mount()
    return fs


def disk(files, image=None):
    """A littlefs image with files, {path: bytes}, put on it. image: what is there already; None: nothing."""
    fs = _mounted(image) if image else littlefs.LittleFS(block_size=BLOCK, block_count=FS_BLOCKS,
                                                         disk_version=DISK_VERSION)
    for path, data in files.items():
        folder = path.rpartition("/")[0]
        if folder:
            fs.makedirs(folder, exist_ok=True)
        with fs.open(path, "wb") as file:
            file.write(data)
    return bytes(fs.context.buffer)


class Emulated:
    """uf2: path of the MicroPython image, or None for a chip with empty flash; files: {path: bytes} of its file
    system. cache: whether a miss of the flash's cache costs time. said: what came over USB; edges: {pin: [(ns, level)]}
    for pins given to watch(); restarts: ns of each by the watchdog. ns goes on from one power-up to the next."""

    def __init__(self, uf2=None, files=None, cache=True):
        self.mcu = Mcu(cache)
        self.core = self.mcu.half
        self.restarts = []
        self.said = bytearray()
        self.edges, self._seen = {}, {}  # _seen: how many of the chip's edges are in edges, or before
        self.powered = True
        self._drives = []  # a heap of (ns, pin, level) to come
        self._forget_ram()
        if uf2:
            load_uf2(uf2, self.mcu)
        if files is not None:
            self.mcu.flash[FS_START:FS_END] = disk(files)
        self._usb()
        self.drive(USB_POWER, 1)
        self.mcu.watchdog.on_watchdog_trigger = self._ask_restart

    @property
    def ns(self):
        return self.core.ns

    def _usb(self):
        self._cdc = USBCDC(self.mcu.usb_ctrl)
        self._cdc.on_serial_data = self.said.extend
        answer, self._asked, self._typed = self.mcu.usb_ctrl.on_endpoint_read, None, bytearray()

        def wait(endpoint, size):
            if endpoint != self._cdc._out_endpoint:
                answer(endpoint, size)
            else:
                self._asked = endpoint, size
                self._give()

        self.mcu.usb_ctrl.on_endpoint_read = wait

    def _give(self):
        """A packet of what was typed, if the chip has asked for one: a host sends no more than it is asked for."""
        if self._asked and self._typed:
            (endpoint, size), self._asked = self._asked, None
            packet = bytes(self._typed[:size])
            del self._typed[:size]
            self.mcu.usb_ctrl.endpoint_read_done(endpoint, packet)

    def type(self, text):
        """Send text or bytes to the USB console; they go as fast as the chip takes them."""
        self._typed += text.encode() if isinstance(text, str) else text
        self._give()

    @property
    def typing(self):
        """Bytes that were typed and not yet taken by the chip."""
        return len(self._typed)

    def _forget_ram(self):
        """What RAM holds at power-up is nobody's promise: the same noise each time."""
        self.mcu.sram[:] = random.Random(1).randbytes(len(self.mcu.sram))

    def power_cut(self):
        """Take the power away, now: of a sector that is being erased or a page that is being programmed, only a part
        is. The flash keeps what it has; power_up() boots on it."""
        self.core.tear()
        self.powered = False

    def power_up(self):
        """Boot after power_cut()."""
        self._forget_ram()
        self.mcu.watchdog.reset()
        self._start(from_watchdog=False)
        self.powered = True

    def files(self):
        """What is on the chip's file system: {path: bytes}. Call it while nothing is being written."""
        return littlefs_files.files(_mounted(self.mcu.flash[FS_START:FS_END]))

    def put(self, files):
        """Put files on the chip's file system. Only while its power is off: MicroPython keeps parts of it in RAM."""
        if self.powered:
            raise RuntimeError("files are put on a running chip: power_cut() first")
        self.mcu.flash[FS_START:FS_END] = disk(files, self.mcu.flash[FS_START:FS_END])

    def i2c_device(self, address, bus, sda, scl):
        """Something that takes any bytes at an address (7 bits) of an I2C bus on these pins; other addresses are not
        answered."""
        self.core.i2c_device(bus, address, scl, sda)

    def i2c_sent(self, bus, start=0):
        """([(ns at its STOP, address, bytes)] of the whole writes that were answered, from entry `start` of the log on;
        the entry to go on from the next time)."""
        rows = self.core.log_from(2 + bus, start)
        end = max((n + 1 for n, (_, what, _) in enumerate(rows) if what & STOP), default=0)
        found, address, data = [], None, bytearray()
        for ns, what, _ in rows[:end]:
            if what & (START | STOP):
                if address is not None:
                    found.append((ns, address, bytes(data)))
                address, data = None, bytearray()
                if what & START and not what & (NO_ANSWER | READING):
                    address = (what & 0xFE) >> 1
            elif not what & NO_ANSWER:
                data.append(what)
        return found, start + end

    def spi_sent(self, bus, start=0):
        """[(ns at its begin, byte, levels of all pins then)] of a bus, from entry `start` of the log on."""
        return self.core.log_from(bus, start)

    def _ask_restart(self):
        self.core.head.stop |= RESTART

    def _restart(self):
        self.restarts.append(self.ns)
        self._start(from_watchdog=True)

    def _start(self, from_watchdog):
        self._asked = None
        self._typed.clear()
        self.mcu.restart(from_watchdog)

    def watch(self, pin):
        """Keep the edges of a pin that the chip drives."""
        self._seen[pin] = self.core.edges(pin)
        self.core.watch(pin)
        self.edges[pin] = []
        return self.edges[pin]

    def drive(self, pin, level, ns=0):
        """Drive an input pin, `ns` from now."""
        heapq.heappush(self._drives, (self.ns + ns, pin, level))
        self._play()

    def drive_all(self, pin, edges):
        """Drive an input pin by edges: [(ns from now, level)]."""
        for ns, level in edges:
            heapq.heappush(self._drives, (self.ns + ns, pin, level))
        self._play()

    def run(self, ms, until=None):
        """Let time pass. until: a function asked every 0.1 ms that ends it earlier. True if it did."""
        if not self.powered:
            raise RuntimeError("the chip has no power: power_up() first")
        end, ask = self.ns + round(ms * 1e6), self.ns
        while self.ns < end:
            self._some(min(end, self.ns + 100_000) if until else end)
            if until and self.ns >= ask:
                ask += 100_000
                self._collect()
                if until():
                    return True
        self._collect()
        return False

    def _some(self, end):
        """Up to `end`, the next driven pin, or a restart."""
        if self._drives:
            end = min(end, self._drives[0][0])
        stop = self.core.run(-(-end // CYCLE_NS))
        if self.core.failed:
            raise self.core.failed
        if stop & LOCKUP:
            raise RuntimeError(f"the processor locked up at {self.core.register(15):#x}: a fault inside a fault")
        if stop & RESTART:
            self._restart()
        self._play()

    def _collect(self):
        for pin, edges in self.edges.items():
            new = self.core.edges_from(pin, self._seen[pin])
            self._seen[pin] += len(new)
            edges.extend(new)

    def _play(self):
        while self._drives and self._drives[0][0] <= self.ns:
            _, pin, level = heapq.heappop(self._drives)
            self.core.drive(1 << pin, bool(level) << pin)


def full_speed(chip):
    """The system clock from the PLL, as the SDK sets it."""
    chip.mcu.write_uint32(CLOCKS + CLK_SYS, 1)


def spin(chip, words=(0xE7FE,)):
    """Put a loop into an empty chip's flash (default: a branch to itself) and start it. For tests of this module."""
    for n, word in enumerate(words):
        chip.mcu.flash[2 * n : 2 * n + 2] = word.to_bytes(2, "little")
    full_speed(chip)
    chip.core.set_register(15, FLASH_START_ADDRESS)
