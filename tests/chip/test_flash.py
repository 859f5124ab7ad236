"""Flash: its cache against a plain model, what a miss costs, the commands and their times, a cut in the middle."""

import random

import pytest

from tests.chip.bare import CODE, RAM, SPIN, Bare, needs_compiler
from tests.chip.emulated import FS_END, FS_START, disk, full_speed

pytestmark = needs_compiler
XIP, SSI, SS = 0x10000000, 0x18000000, 0x4001800C
SR, DR = SSI + 0x28, SSI + 0x60


class Model:
    """The cache in plain Python: 16 KB, two ways of 1,024 lines of 8 bytes, each half with a valid flag of its own, the
    older way replaced."""

    def __init__(self):
        self.sets = [[] for _ in range(1024)]  # [line, its words that are there], the newer first

    def hit(self, address):
        word = (address & 0xFFFFFF) >> 2
        ways = self.sets[word >> 1 & 1023]
        way = next((way for way in ways if way[0] == word >> 1), [word >> 1, set()])
        if way in ways:
            ways.remove(way)
        ways.insert(0, way)
        del ways[2:]
        found = word in way[1]
        way[1].add(word)
        return found


def _xip_as_the_sdk_has_it(bare):
    """boot2 for the W25Q080 at divider 2: address and mode bits 8 nibbles, 4 dummy clocks."""
    bare.write(SSI + 8, 0)
    bare.write(SSI + 0x14, 2)
    bare.write(SSI + 0xF4, 0xA0 << 24 | 4 << 11 | 8 << 2 | 2)
    bare.write(SSI + 8, 1)


def _load_cycles(bare, address):
    """What `ldr r0, [r1]` takes from RAM code."""
    bare.core.set_register(15, CODE)
    bare.core.set_register(1, address)
    return bare.step()


def test_cache_as_a_plain_model():
    """A miss costs 2 * (8 + 4 + 8) = 40 cycles beyond the load's two, a hit none."""
    dice, model, bare = random.Random(16), Model(), Bare()
    _xip_as_the_sdk_has_it(bare)
    bare.code((0x6808,))
    places = [XIP + 4 * dice.randrange(0x80000) for _ in range(40)]
    places += [place ^ way << 13 for place in places[:10] for way in (1, 2, 3)]
    found, wanted = [], []
    for _ in range(4000):
        address = dice.choice(places) ^ 4 * dice.randrange(2)
        found.append(_load_cycles(bare, address))
        wanted.append(2 if model.hit(address) else 42)
    assert found == wanted
    assert 0.2 < wanted.count(2) / len(wanted) < 0.95, "both happen"


def test_flush_aliases_and_no_cache():
    """0x13 goes past the cache, 0x11 reads but does not fill; a write to 0x10 forgets a word, a flush all."""
    bare = Bare()
    _xip_as_the_sdk_has_it(bare)
    bare.code((0x6808,))
    assert [_load_cycles(bare, 0x13001000) for _ in range(2)] == [42, 42]
    assert [_load_cycles(bare, 0x11001000) for _ in range(2)] == [42, 42]
    assert [_load_cycles(bare, 0x10001000 + n) for n in (0, 0, 4, 4)] == [42, 2, 42, 2]
    bare.write(0x10001000, 0)
    assert [_load_cycles(bare, 0x10001000 + n) for n in (0, 4)] == [42, 2]
    bare.write(0x14000004, 1)
    assert [_load_cycles(bare, 0x10001000 + n) for n in (0, 4)] == [42, 42]
    plain = Bare(cache=False)
    plain.code((0x6808,))
    assert _load_cycles(plain, 0x10001000) == 2


def test_code_in_flash_misses_once_a_word():
    """Two instructions a word: 32 of them make 16 misses, again none."""
    bare = Bare()
    _xip_as_the_sdk_has_it(bare)
    at = 0x8000
    for n in range(32):
        bare.chip.mcu.flash[at + 2 * n : at + 2 * n + 2] = (0x3001).to_bytes(2, "little")
    for wanted in (32 + 16 * 40, 32):
        bare.core.set_register(15, XIP + at)
        assert bare.step(32) == wanted


def _command(bare, *values):
    """A command of the flash chip through the SSI as the boot ROM sends it -> the bytes that come back."""
    bare.write(SSI + 8, 0)
    bare.write(SSI, 7 << 16)
    bare.write(SSI + 8, 1)
    bare.write(SS, 2 << 8)
    back = []
    for value in values:
        bare.write(DR, value)
        while not bare.read(SR) >> 3 & 1:
            bare.pass_cycles(8)
        back.append(bare.read(DR))
    bare.write(SS, 3 << 8)
    return back


def _busy_ms(bare, step_us):
    """Until the status register's busy bit falls."""
    begun = bare.chip.ns
    while _command(bare, 0x05, 0)[1] & 1:
        bare.chip.run(step_us / 1000)
    return (bare.chip.ns - begun) / 1e6


@pytest.mark.parametrize(("command", "size", "ms"), [(0x20, 4096, 45), (0x52, 32768, 120), (0xD8, 65536, 150)])
def test_erase(command, size, ms):
    """W25Q16JV data sheet, AC characteristics, typical (from memory): 45, 120, 150 ms."""
    bare = Bare()
    flash = bare.chip.mcu.flash
    flash[0x20000:0x40000] = bytes(0x20000)
    _command(bare, command, 2, 0, 0)
    assert flash[0x20000] == 0, "without write enable nothing happens"
    _command(bare, 0x06)
    assert _command(bare, 0x05, 0)[1] == 2
    _command(bare, command, 2, 0, 0)
    assert _busy_ms(bare, 100) == pytest.approx(ms, abs=0.3)
    assert flash[0x20000 : 0x20000 + size] == b"\xff" * size and flash[0x20000 + size] == 0
    assert _command(bare, 0x05, 0)[1] == 0


def test_program_clears_bits_within_its_page():
    """0.4 ms typical; bits go from 1 to 0 only, and the address wraps within 256 bytes."""
    bare = Bare()
    flash = bare.chip.mcu.flash
    flash[0x30000:0x30200] = b"\xff" * 0x200
    flash[0x300F0] = 0x0F
    _command(bare, 0x06)
    _command(bare, 0x02, 3, 0, 0xF0, *([0x3C] * 0x20))
    assert _busy_ms(bare, 10) == pytest.approx(0.4, abs=0.03)
    assert flash[0x300F0:0x30100] == b"\x0c" + b"\x3c" * 15 and flash[0x30000:0x30010] == b"\x3c" * 16
    assert flash[0x30010] == flash[0x30100] == 0xFF
    assert _command(bare, 0x03, 3, 0, 0xF0, 0, 0)[4:] == [0x0C, 0x3C]


def test_a_cut_tears():
    """A third through an erase the rest of the sector is as it was; the same for a page."""
    bare = Bare()
    flash = bare.chip.mcu.flash
    flash[0x20000:0x21000] = b"\x55" * 4096
    _command(bare, 0x06)
    _command(bare, 0x20, 2, 0, 0)
    bare.chip.run(15)
    bare.chip.power_cut()
    sector = bytes(flash[0x20000:0x21000])
    gone = sector.count(0xFF)
    assert gone == pytest.approx(4096 / 3, abs=10)
    assert sector == b"\xff" * gone + b"\x55" * (4096 - gone)
    with pytest.raises(RuntimeError):
        bare.chip.run(1)
    bare.chip.power_up()
    full_speed(bare.chip)
    bare.code((SPIN,))
    flash[0x20000:0x21000] = b"\xff" * 4096
    _command(bare, 0x06)
    _command(bare, 0x02, 2, 0, 0, *range(256))
    bare.chip.run(0.1)
    bare.chip.power_cut()
    page = bytes(flash[0x20000:0x20100])
    done = page.rstrip(b"\xff")
    assert done == bytes(range(len(done))) and 40 < len(done) < 90


def test_restart_and_power_up():
    """A watchdog's restart keeps RAM and the scratch registers; power-up keeps neither (data sheet 4.7, 2.14)."""
    bare = Bare()
    bare.put(RAM + 0x4000, [0x12345678])
    bare.write(0x4005800C, 77)
    bare.write(0x40058004, 1000)  # LOAD; counts twice a microsecond (RP2040-E1)
    bare.write(0x40058000, 1 << 30)
    bare.chip.run(2, lambda: bare.chip.restarts)
    assert bare.chip.restarts[0] == pytest.approx(500_000, abs=2_000)
    assert bare.words(RAM + 0x4000, 1) == [0x12345678]
    assert (bare.read(0x4005800C), bare.read(0x40058008)) == (77, 1)
    bare.chip.power_cut()
    bare.chip.power_up()
    assert bare.words(RAM + 0x4000, 1) != [0x12345678]
    assert (bare.read(0x4005800C), bare.read(0x40058008)) == (0, 0)


def test_files_from_outside():
    bare = Bare()
    bare.chip.power_cut()
    bare.chip.mcu.flash[FS_START:FS_END] = disk({"a.txt": b"1"})
    bare.chip.put({"show/b.bin": bytes(5000)})
    assert bare.chip.files() == {"a.txt": b"1", "show/b.bin": bytes(5000)}
