"""The memory that a port repeats its packets from: its layout, and how it is written.

The block begins with NEXT, the address of the newest record, and a guard. Then come three records. Each describes one
packet: four transfers (head, slots, waits, and the return) of 16 bytes, the words that they read, and the frame.
Used by restart_memory, and by line when the length or the timing of its packets changes; firmware/start drops it once
the board is made.
"""

from machine import mem32
from micropython import const
from uctypes import bytearray_at

from firmware.wire import dmx
from hal.rp2.dma_ring import fifo

FIRST = const(8)  # where in the block the first record begins
FRAME = const(80)  # where in a record the frame begins: start code and slots, rounded up to words
RECORD = FRAME + (1 + dmx.SLOTS_MAX + 3 & ~3)  # bytes of a record
RECORDS = const(3)
SIZE = FIRST + RECORDS * RECORD  # bytes of the block

_GUARD = const(4)
_INTACT = const(0x1F512E11)
_REST, _HEAD, _MARK, _WAIT = const(64), const(68), const(72), const(76)
_COUNT, _READ = const(24), const(28)  # of the second transfer

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3_READ_TRIGGER = const(0x3C)
_NO_REQUEST = const(0x3F)

# What dmx_out takes beside the loops that its words count, in µs.
_IDLE_US = const(6)
_BREAK_US = const(2)
_MARK_US = const(9)

_WAIT_US = const(50)  # a wait between packets is cut into these, so that a new frame is late by 5 of them at most


def held_in(address):
    """The slots of the newest record in a block of SIZE bytes that an earlier run left at address: bytes, or
    None if what is there is not intact."""
    record = mem32[address]
    at = record - address - FIRST
    if mem32[address + _GUARD] != _INTACT or at % RECORD or not 0 <= at < RECORDS * RECORD:
        return None
    count = mem32[record + _COUNT] - 1
    if mem32[record + _READ] != record + FRAME or not dmx.SLOTS_MIN <= count <= dmx.SLOTS_MAX:
        return None
    return bytes(bytearray_at(record + FRAME + 1, count))


def set_timing(line, hz, break_us, mark_us):
    """Set the timing of a line's packets, and mark its records as to be written -> the slots that it sends now, which
    are to be sent again, or None. Errors: ValueError outside ANSI E1.11's transmit limits."""
    dmx.check_timing(hz, break_us, mark_us)
    line.times = hz, break_us, mark_us
    slots = held_in(line.address) if line.memory else None
    line.written = [-1] * RECORDS
    return slots


def lay(line, memory):
    """Give a line its memory, (address, bytearray) of SIZE bytes, and write it: records for as many slots as a packet
    may have, none of them the newest."""
    line.address, line.memory = memory
    mem32[line.address] = mem32[line.address + _GUARD] = 0
    for n in range(RECORDS):
        line.memory[FIRST + n * RECORD + FRAME] = dmx.START_CODE
        write(line, n, dmx.SLOTS_MAX)
    mem32[line.address + _GUARD] = _INTACT


def write(line, n, count):
    """Write record n for a number of slots and the line's timing. Errors: ValueError for a number that no packet has.
    """
    dmx.check_slots(count)
    hz, break_us, mark_us = line.times
    record = line.address + FIRST + n * RECORD
    wait = dmx.idle_us(count, hz, break_us, mark_us)
    wait = max(wait, _IDLE_US) if wait else 0
    waits = max(0, wait - _IDLE_US) // _WAIT_US
    mem32[record + _REST] = _waiting(wait - waits * _WAIT_US)
    mem32[record + _HEAD] = count << 1 | (break_us - _BREAK_US) << 11
    mem32[record + _MARK] = mark_us - _MARK_US
    mem32[record + _WAIT] = _waiting(_WAIT_US)
    first = _REST if wait else _HEAD
    at = _transfer(line, record, 2, True, (_WAIT - first) // 4, record + first)
    at = _transfer(line, at, 0, True, count + 1, record + FRAME)
    if waits:
        at = _transfer(line, at, 2, False, waits, record + _WAIT)
    _return(line, at)
    line.written[n] = count


def _waiting(us):
    """The word that lets dmx_out wait; us: _IDLE_US and up, or 0 where the word is not sent."""
    return 1 | max(0, us - _IDLE_US) << 1


def _transfer(line, at, size, advance, count, read):
    """Write one transfer into the program's FIFO at address `at`: the address after it."""
    to, request = fifo(line.number, 0)
    mem32[at] = line.data.pack_ctrl(
        size=size, inc_read=advance, inc_write=False, chain_to=line.control.channel, treq_sel=request, irq_quiet=True)
    mem32[at + 4] = to
    mem32[at + 8] = count
    mem32[at + 12] = read
    return at + 16


def _return(line, at):
    """Write the transfer that sends the control channel to the newest record."""
    mem32[at] = line.data.pack_ctrl(
        size=2, inc_read=False, inc_write=False, chain_to=line.data.channel, treq_sel=_NO_REQUEST, irq_quiet=True)
    mem32[at + 4] = _DMA + _CHANNEL * line.control.channel + _AL3_READ_TRIGGER
    mem32[at + 8] = 1
    mem32[at + 12] = line.address
