"""SPI and I2C of the emulated chip: times worked out by hand, who answers, and what is kept of the bytes."""

from tests.chip.bare import RAM, Bare, needs_compiler
from tests.chip.test_dma import DMA, control

pytestmark = needs_compiler
SPI, I2C = 0x4003C000, 0x40044000
CR0, CR1, DR, SR, CPSR, DMACR = (SPI + offset for offset in (0, 4, 8, 0xC, 0x10, 0x24))
TAR, DATA_CMD, RAW, ENABLE, CLR_ABRT, CLR_STOP, ABRT = (I2C + offset for offset in
                                                        (4, 0x10, 0x34, 0x6C, 0x54, 0x60, 0x80))
STOP_DET, TX_ABRT = 1 << 9, 1 << 6


def _spi(bare, divider, rate, phase=0):
    bare.write(CPSR, divider)
    bare.write(CR0, rate << 8 | phase << 7 | 7)
    bare.write(CR1, 2)


def test_spi_takes_its_bits():
    """PL022: a bit is CPSDVSR * (1 + SCR) cycles; with phase 1 words follow each other at once. 4 * 2 * 8 = 64."""
    bare = Bare()
    _spi(bare, 4, 1, phase=1)
    for byte in (1, 2, 3, 4):
        bare.write(DR, byte)
    bare.pass_cycles(1000)
    sent = bare.chip.spi_sent(0)
    assert [byte for _, byte, _ in sent] == [1, 2, 3, 4]
    assert {b - a for (a, *_), (b, *_) in zip(sent, sent[1:])} == {64 * 8}


def test_spi_with_phase_0_lifts_its_select_between_words():
    """Eight bits and one and a half of pause (from memory): 2 * (8 + 1.5) = 19 cycles."""
    bare = Bare()
    _spi(bare, 2, 0)
    for byte in range(8):
        bare.write(DR, byte)
    bare.pass_cycles(1000)
    sent = bare.chip.spi_sent(0)
    assert {b - a for (a, *_), (b, *_) in zip(sent, sent[1:])} == {19 * 8}
    assert bare.read(SR) & 0x1F == 0b01111, "TX empty, RX full of the eight bytes that came back, not busy"


def test_spi_keeps_the_pins_and_works_by_dma():
    """A level of a plain pin, as D/C is, goes with each byte; DMA at request 16 keeps the FIFO filled."""
    bare = Bare()
    _spi(bare, 2, 0, phase=1)
    bare.write(0x40014004 + 8 * 20, 5)
    bare.write(0xD0000024, 1 << 20)
    bare.write(DR, 0x2A)
    bare.pass_cycles(100)
    bare.write(0xD0000014, 1 << 20)
    bare.put(RAM + 0x2000, [0x04030201] * 25)
    bare.write(DMACR, 2)
    begun = bare.now
    for offset, value in ((0, RAM + 0x2000), (4, DR), (8, 100), (12, control(0, size=0, write=False, request=16))):
        bare.write(DMA + offset, value)
    while bare.read(SR) >> 4 & 1 or bare.read(DMA + 12) >> 24 & 1:
        bare.pass_cycles(10)
    assert 1600 <= bare.now - begun <= 1640, "100 bytes of 16 cycles"
    sent = bare.chip.spi_sent(0)
    assert [levels >> 20 & 1 for _, _, levels in sent] == [0] + [1] * 100
    assert [byte for _, byte, _ in sent[1:5]] == [1, 2, 3, 4]


def _i2c(bare, address):
    """400 kHz as the SDK sets it up: 125 high and 188 low of 313 cycles."""
    bare.write(ENABLE, 0)
    bare.write(I2C, 1 << 8 | 1 << 6 | 1 << 5 | 2 << 1 | 1)
    bare.write(I2C + 0x1C, 125)
    bare.write(I2C + 0x20, 188)
    bare.write(I2C + 0xA0, 11)
    bare.write(TAR, address)
    bare.write(ENABLE, 1)


def test_i2c_takes_its_bits():
    """Data sheet 4.3.14.1 (from memory): high is HCNT + SPKLEN + 7, low LCNT + 1 cycles; so a bit is 332. START, the
    address and its answer are 10 bits, each byte 9, the STOP 1."""
    bare = Bare()
    bare.chip.i2c_device(0x3C, 0, 4, 5)
    _i2c(bare, 0x3C)
    begun = bare.now
    for word in (0x40, 0xAA, 0x255):
        bare.write(DATA_CMD, word)
    while not bare.read(RAW) & STOP_DET:
        bare.pass_cycles(10)
    assert abs(bare.now - begun - 332 * (10 + 27 + 1)) <= 20
    assert [(address, data) for _, address, data in bare.chip.i2c_sent(0)[0]] == [(0x3C, b"\x40\xAA\x55")]
    assert bare.read(ABRT) == 0


def test_i2c_nobody_there():
    """TX_ABRT with 7B_ADDR_NOACK (bit 0), and a STOP; nothing of it counts as sent."""
    bare = Bare()
    bare.chip.i2c_device(0x3C, 0, 4, 5)
    _i2c(bare, 0x3D)
    bare.write(DATA_CMD, 0x255)
    bare.pass_cycles(332 * 12)
    assert bare.read(RAW) & (TX_ABRT | STOP_DET) == TX_ABRT | STOP_DET
    assert bare.read(ABRT) & 1
    bare.read(CLR_ABRT)
    bare.read(CLR_STOP)
    assert not bare.read(RAW) & (TX_ABRT | STOP_DET)
    assert bare.chip.i2c_sent(0)[0] == []


def _scan(bare, address):
    """A write of no bytes made of plain pins, as machine.I2C.scan() does it -> whether somebody answered."""
    sda, scl = 1 << 4, 1 << 5

    def line(pin, high):
        bare.write(0xD0000028 if high else 0xD0000024, pin)
        bare.pass_cycles(20)

    line(sda, 0)
    line(scl, 0)
    for n in range(8):
        line(sda, (address << 1) >> 7 - n & 1)
        line(scl, 1)
        line(scl, 0)
    line(sda, 1)
    line(scl, 1)
    answered = not bare.read(0xD0000004) & sda
    line(scl, 0)
    line(sda, 0)
    line(scl, 1)
    line(sda, 1)
    return answered


def test_scan_finds_who_is_there():
    bare = Bare()
    bare.chip.i2c_device(0x3C, 0, 4, 5)
    for pin in (4, 5):
        bare.write(0x4001C004 + 4 * pin, 1 << 6 | 1 << 3)
        bare.write(0x40014004 + 8 * pin, 5)
    assert [address for address in range(8, 120) if _scan(bare, address)] == [0x3C]


def test_pin_interrupts():
    """Data sheet 2.19.3: edges are latched until they are written away, and reach IO_IRQ_BANK0 (13) where enabled."""
    bare = Bare()
    bare.chip.drive(9, 1)
    bare.write(0x400140F4, 0xF << 4)
    bare.write(0x40014104, 1 << 6)  # pin 9: the falling edge
    bare.chip.drive(9, 0, 1000)
    bare.chip.run(0.0005)
    assert not bare.read(0xE000E200) >> 13 & 1
    bare.chip.run(0.001)
    assert bare.read(0xE000E200) >> 13 & 1 and bare.read(0x40014124) == 1 << 6
    bare.write(0x400140F4, 1 << 6)
    assert bare.read(0x40014124) == 0
