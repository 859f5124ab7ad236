"""Flash that takes its time: a real littlefs whose programs and erases let virtual time pass."""

from sim.flash import LittleDisk

# Typical figures of the boards' flash chips (W25Q16JV and its like, from memory): a sector erase of 4 KB, a page
# program of 256 bytes. Their greatest are 400 ms and 3 ms.
ERASE_US, PROGRAM_US = 45_000, 400


class SlowDisk:
    """A LittleDisk that passes time on `clock` (set it before the first write)."""

    def __init__(self, size=1 << 20):
        self.disk = LittleDisk(size)
        self.clock = None
        self.longest_us = 0

    def __getattr__(self, name):
        return getattr(self.disk, name)

    def write(self, path, data):
        self._timed(self.disk.write, path, data)

    def append(self, path, data):
        self._timed(self.disk.append, path, data)

    def _timed(self, verb, *args):
        flash = self.disk.flash
        erases, programmed = sum(flash.erases), flash.programmed
        verb(*args)
        if self.clock:
            us = (sum(flash.erases) - erases) * ERASE_US + (flash.programmed - programmed) // 256 * PROGRAM_US
            self.longest_us = max(self.longest_us, us)
            self.clock.pass_us(us)
