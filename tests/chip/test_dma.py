"""DMA: sizes, rings, chains and pacing, by the RP2040's data sheet, section 2.5 (from memory)."""

from tests.chip.bare import RAM, Bare, needs_compiler

pytestmark = needs_compiler
DMA, PIO = 0x50000000, 0x50200000
INTR, INTE0, TIMER0, TRIGGER, ABORT = (DMA + offset for offset in (0x400, 0x404, 0x420, 0x430, 0x444))
ALWAYS = 0x3F
FROM, TO = RAM + 0x2000, RAM + 0x3000


def control(channel, size=2, read=True, write=True, ring=0, ring_write=0, chain=None, request=ALWAYS, quiet=0):
    """The control register; enabled."""
    return (1 | size << 2 | read << 4 | write << 5 | ring << 6 | ring_write << 10
            | (channel if chain is None else chain) << 11 | request << 15 | quiet << 21)


def start(bare, channel, source, target, count, **options):
    for offset, value in ((0, source), (4, target), (8, count), (12, control(channel, **options))):
        bare.write(DMA + 0x40 * channel + offset, value)


def busy(bare, channel):
    return bare.read(DMA + 0x40 * channel + 12) >> 24 & 1


def test_copies_by_words_halfwords_and_bytes():
    for size in (0, 1, 2):
        bare = Bare()
        bare.put(FROM, range(1, 33))
        bare.put(TO, [0] * 33)
        start(bare, 3, FROM, TO, 32 << 2 - size, size=size)
        bare.pass_cycles(10)
        assert busy(bare, 3)
        bare.pass_cycles(200)
        assert not busy(bare, 3)
        assert bare.words(TO, 33) == [*range(1, 33), 0]
        assert bare.read(INTR) == 1 << 3


def test_one_transfer_a_cycle():
    """2.5.1: the controller can do a read and a write each clock cycle."""
    bare = Bare()
    start(bare, 0, FROM, TO, 1000, read=False, write=False)
    begun = bare.now
    while busy(bare, 0):
        bare.pass_cycles(1)
    assert 1000 <= bare.now - begun <= 1020


def test_a_ring_of_sixteen_bytes():
    bare = Bare()
    bare.put(TO, [0] * 8)
    start(bare, 0, FROM, TO + 4, 6, read=False, ring=4, ring_write=1)
    bare.put(FROM, [7])
    bare.pass_cycles(50)
    assert bare.words(TO, 5) == [7, 7, 7, 7, 0]
    assert bare.read(DMA + 4) == TO + 12


def test_a_control_block_drives_another_channel():
    """2.5.6.1: channel 0 writes read address and count into channel 1's alias 3 and so on; the last word, 0, ends it
    with an interrupt, and only that one."""
    bare = Bare()
    first, second = FROM + 0x100, FROM + 0x200
    bare.put(first, [11, 12])
    bare.put(second, [21, 22, 23])
    bare.put(FROM, [2, first, 3, second, 0, 0])  # alias 3 of channel 1: count, then read address with trigger
    bare.put(TO, [0] * 6)
    bare.write(DMA + 0x40 + 4, TO)
    bare.write(DMA + 0x40 + 0x10, control(1, chain=0, quiet=1))
    start(bare, 0, FROM, DMA + 0x40 + 0x38, 2, ring=3, ring_write=1, quiet=1)
    bare.pass_cycles(100)
    assert bare.words(TO, 6) == [11, 12, 21, 22, 23, 0]
    assert bare.read(INTR) == 1 << 1, "the null trigger of the quiet channel 1"
    assert not busy(bare, 0) and not busy(bare, 1)


def test_nothing_to_do_is_done_at_once():
    bare = Bare()
    bare.put(TO, [5, 5])
    start(bare, 0, FROM, TO, 0, request=0)
    bare.pass_cycles(10)
    assert not busy(bare, 0) and bare.words(TO, 2) == [5, 5] and bare.read(INTR) == 1


def test_paced_by_a_fifo_of_pio():
    """Machine 0 takes a word every 100 cycles: DMA fills its four entries and then keeps to that pace."""
    bare = Bare()
    bare.write(PIO + 0x48, 0x80A0)  # pull block
    bare.write(PIO + 0xC8, 100 << 16)
    bare.write(PIO + 0xCC, 0)  # wraps to itself
    start(bare, 5, FROM, PIO + 0x10, 100, write=False, request=0)
    bare.pass_cycles(100)
    assert bare.read(DMA + 0x40 * 5 + 8) == 96
    bare.write(PIO, 1)
    bare.pass_cycles(5_000)
    assert 45 <= bare.read(DMA + 0x40 * 5 + 8) <= 47


def test_paced_by_a_timer():
    """2.5.3.2: a transfer every Y/X cycles of the system clock."""
    bare = Bare()
    bare.write(TIMER0, 1 << 16 | 50)
    start(bare, 2, FROM, TO, 1000, request=0x3B)
    bare.pass_cycles(5_000)
    assert 898 <= bare.read(DMA + 0x80 + 8) <= 901


def test_abort_and_interrupt():
    bare = Bare()
    bare.write(INTE0, 1 << 4)
    start(bare, 4, FROM, TO, 100_000)
    bare.pass_cycles(50)
    bare.write(ABORT, 1 << 4)
    left = bare.read(DMA + 0x100 + 8)
    bare.pass_cycles(50)
    assert not busy(bare, 4) and bare.read(DMA + 0x100 + 8) == left
    assert not bare.read(0xE000E200) >> 11 & 1
    bare.write(DMA + 0x100 + 8, 3)
    bare.write(TRIGGER, 1 << 4)
    bare.pass_cycles(50)
    assert bare.read(0xE000E200) >> 11 & 1, "DMA_IRQ_0"
