"""What a port that answers RDM (rdm_in) needs once: the lists of transfers that send an answer, and the interrupt.
Loaded for that, then dropped.

Two lists, for an answer after a break and for one without:

    six short waits; the driver on; head and mark; the bytes; six short waits; the driver off
    head, mark and four bytes; the driver on; the other bytes; six short waits; the driver off

The program's FIFO holds four words, so that the sixth goes in when the second is taken out. In the second list the
shortest break there is, 2 us, has then gone by with the driver off; at the end of both the packet has.
"""

from binascii import crc32

from machine import mem32, unique_id
from micropython import const
from uctypes import addressof

from hal.rp2.dma_ring import block, fifo
from hal.rp2.pads import HIGH, override
from hal.rp2.pio_rest import AT_REST_HZ, at_rest

_PASSES = const(95)  # of at_rest, 2 us each: 192 us
# Places of the block (rdm_in has some too): words, two lists, and the bytes of a UID's answer.
_ON, _OFF, _WAITS, _HEAD, _BARE, _ENCODED, _SIZE = (
    const(0), const(4), const(8), const(32), const(40), const(240), const(264))
_UID_SLOTS, _AHEAD = const(24), const(4)  # of a UID's answer; and those that go out with its head
_MARK, _BARE_MARK = const(20), const(40)  # us; E1.20's mark is 12 to 88
_MARK_US, _IDLE_US = const(9), const(6)  # what dmx_out takes beside its loops
_SHORT_US, _SHORTS = const(12), const(6)
_DRIVER, _LAST = const(0), const(-1)  # in place of a count: a transfer to the driver's pin; and the last of a list

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3, _AL3_READ_TRIGGER = const(0x30), const(0x3C)
_NO_REQUEST = const(0x3F)


def ident():
    """Three bytes of the chip's own number."""
    return crc32(unique_id()).to_bytes(4, "big")[1:]


def begin(port, responder, encoded):
    """Let a port answer: as hal.contract.Answers has it."""
    line, control = port.line, port.line.control
    port.responder = responder
    port.block, port.memory = block(_SIZE)
    port.go = _DMA + _CHANNEL * control.channel + _AL3_READ_TRIGGER  # an object, as it is above 2**30
    _lay(port, addressof(responder.out), encoded)
    line._machine.restart()  # make has given it its program
    line._machine.active(1)
    control.config(
        read=port.block, write=_DMA + _CHANNEL * line.data.channel + _AL3, count=4, trigger=False,
        ctrl=control.pack_ctrl(size=2, inc_read=True, inc_write=True, ring_sel=True, ring_size=4,
                               chain_to=control.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
    pin = line._line_in._pin
    port.machine.init(at_rest, freq=AT_REST_HZ, in_base=pin, jmp_pin=pin)
    port.machine.irq(port.rest, hard=True)
    port.machine.put(_PASSES)
    port.machine.active(1)


def _lay(port, out, encoded):
    """Write the block. out: address of the answers' bytes."""
    at, data, control = port.block, port.line.data, port.line.control
    pad, high = override(port.line._drive_pin, port.chip, HIGH)
    words = [mem32[pad] | high, mem32[pad]] + [1 | (_SHORT_US - _IDLE_US) << 1] * _SHORTS
    words += [0, _MARK - _MARK_US, (_UID_SLOTS - 1) << 1, _BARE_MARK - _MARK_US] + list(encoded[:_AHEAD])
    ends = (_WAITS, _SHORTS, 2), (_OFF, _LAST, 2)
    first = ((_WAITS, _SHORTS, 2), (_ON, _DRIVER, 2), (_HEAD, 2, 2), (out - at, 1, 0)) + ends
    second = ((_BARE, 2 + _AHEAD, 2), (_ON, _DRIVER, 2), (_ENCODED + _AHEAD, _UID_SLOTS - _AHEAD, 0)) + ends
    to, request = fifo(port.line.number, 0)
    for read, count, size in first + second:
        sends = count > 0
        words.append(data.pack_ctrl(
            size=size, inc_read=sends, inc_write=False, treq_sel=request if sends else _NO_REQUEST, irq_quiet=True,
            chain_to=data.channel if count == _LAST else control.channel))
        words += [to if sends else pad, max(1, count), at + read]
    for n in range(len(words)):
        mem32[at + 4 * n] = words[n]
    port.memory[_ENCODED:_SIZE] = encoded
