"""hal/rp2 on the PIO and DMA of rp2040py, without a processor: stand-ins for `machine`, `rp2` and `uctypes`.

What runs here is the very code of hal/rp2; the emulator sees its register writes as a chip would. No
instruction of a processor is ever executed, so what the line does by itself it does without one.
"""

import importlib
import sys
import types

from rp2040py.peripherals import dma as registers
from rp2040py.rp2040 import RP2040

from tests.wire import pio

_RAM, _PIN, _PAD, _DMA, _PIO = 0x20000000, 0x40014004, 0x4001C004, 0x50000000, 0x50200000
_SET = 0x2000  # the alias of a register that sets bits
_CYCLE_NS = 8  # 125 MHz
_OURS = ("hal.rp2.pio_programs", "hal.rp2.line_words", "hal.rp2.line_words_viper", "hal.rp2.restart_memory",
         "hal.rp2.dma_ring", "hal.rp2.line_in", "hal.rp2.line_records", "hal.rp2.line", "hal.rp2.rdm",
         "hal.rp2.rdm_in", "hal.rp2.rdm_in_lay", "hal.rp2.rdm_in_words", "hal.rp2.rdm_in_words_viper", "hal.rp2.pads",
         "hal.rp2.pio_rest", "hal.rp2.knob", "hal.rp2.make", "hal.board_parts", "hal.make")


class Chip:
    """Use as a context: inside it `import hal.rp2.line` meets this chip. Time passes in run()."""

    def __init__(self, mcu=None):
        """mcu: an RP2040 that somebody else runs, or None for one without a processor, run by run()."""
        self.mcu = mcu or RP2040()
        self.mcu._simulator = self  # else its PIO would look for an event loop
        self.edges = {}
        self.channels = 0  # of DMA, taken
        self.skipped_ms = 0  # of the processor's clock: time that nothing on the pins would have filled
        self.handlers = {}  # of state machines' interrupts: {number: (function, machine)}
        self.late_us = self.work_us = 0  # from an interrupt until it is heard, and until its handler is done
        self._free = _RAM + 0x1000
        self._addresses = {}  # of blocks: {id: address}
        self._programs = ({}, {})
        self._was = {}
        self._waves = {}  # pin: [edges, how many have passed]

    @property
    def ns(self):
        return round(self.mcu.clock.nanos)

    def ticks_ms(self):
        return self.ns // 1_000_000 + self.skipped_ms

    @staticmethod
    def ticks_diff(later, earlier):
        return later - earlier

    def sleep_us(self, us):
        self.run(us)

    def __enter__(self):
        chip = self
        fakes = {
            "machine": types.SimpleNamespace(mem32=_Words(self.mcu), Pin=_pin_class(self),
                                             unique_id=lambda: b"\xe6\x61\x38\x52\x83\x4b\x7a\x2f"),
            "rp2": types.SimpleNamespace(PIO=_pio_class(self), asm_pio=pio.asm_pio, DMA=lambda: _Channel(chip),
                                         StateMachine=lambda number, *a, **k: _Machine(chip, number, *a, **k)),
            "uctypes": types.SimpleNamespace(bytearray_at=self.memory, UINT32=0, struct=self._struct,
                                             addressof=lambda buffer: self._addresses[id(buffer)]),
        }
        for name in (*fakes, *_OURS):
            self._was[name] = sys.modules.pop(name, None)
        sys.modules.update(fakes)
        _unlink()
        self._load()
        return self

    def __exit__(self, *_error):
        _unlink()
        for name, module in self._was.items():
            sys.modules.pop(name, None)
            if module is not None:
                sys.modules[name] = module
                package, _dot, last = name.rpartition(".")
                if package:  # as _unlink took it off
                    setattr(sys.modules[package], last, module)

    def module(self, name):
        """hal.rp2.NAME as this chip loads it."""
        return importlib.import_module("hal.rp2." + name)

    def forget(self):
        """The chip was reset: what runs on it is loaded and claimed anew. Memory is left as it is."""
        self.channels, self._programs = 0, ({}, {})
        for name in _OURS:
            sys.modules.pop(name, None)
        _unlink()
        self._load()

    def _load(self):
        self.module("dma_ring").block = self.module("restart_memory").block = self.block
        self.module("line_in").time = self

    def memory(self, address, size):
        return memoryview(self.mcu.sram)[address - _RAM : address - _RAM + size]

    def _struct(self, address, fields):
        """uctypes.struct of one 32-bit field."""
        (name,) = fields
        return type("struct", (), {name: property(lambda _s: self.mcu.read_uint32(address),
                                                  lambda _s, value: self.mcu.write_uint32(address, value))})()

    def block(self, size):
        """hal.rp2.dma_ring.block: 16 bytes aligned."""
        address, memory = self._free, self.memory(self._free, size)
        self._free += size + 15 & ~15
        self._addresses[id(memory)] = address
        return address, memory

    def watch(self, pin):
        """Keep the edges of a pin: list of (ns, level)."""
        edges = self.edges[pin] = []
        gpio = self.mcu.gpio[pin]

        def changed(state, _old):
            if int(state) in (0, 1) and (not edges or edges[-1][1] != int(state)):
                edges.append((self.ns, int(state)))

        gpio.add_listener(changed)
        return edges

    def play(self, pin, edges):
        """Drive an input pin with (ns, level) as time passes."""
        self.mcu.gpio[pin].set_input_value(True)
        self._waves[pin] = [list(edges), 0]

    def load(self, block, program):
        """Where a program lies in a PIO's memory, loaded once."""
        offsets = self._programs[block]
        if program not in offsets:
            offset = sum(len(p.code) for p in offsets)
            assert offset + len(program.code) <= 32, "the PIO's memory is full"
            for n, word in enumerate(program.at(offset)):
                self.mcu.write_uint32(_PIO + 0x100000 * block + 0x48 + 4 * (offset + n), word)
            offsets[program] = offset
        return offsets[program]

    def run(self, us):
        """Let time pass, going from one thing due to the next."""
        mcu, clock = self.mcu, self.mcu.clock
        end = self.ns + round(us * 1000)
        while clock.nanos < end:
            now = clock.nanos
            step = (end - now) / _CYCLE_NS
            for block in mcu.pio:
                if not block.stopped:
                    step = min(step, (block.next_due_fp - block.cycle_fp) / 256)
            if clock.has_scheduled_alarm:
                step = min(step, clock.nanos_to_next_alarm / _CYCLE_NS)
            for edges, place in self._waves.values():
                if place < len(edges):
                    step = min(step, (edges[place][0] - now) / _CYCLE_NS)
            self._step(max(1, int(step)))

    def _step(self, cycles):
        self.mcu.clock.tick(cycles * _CYCLE_NS)
        for pin, wave in self._waves.items():
            edges, place = wave
            while place < len(edges) and edges[place][0] <= self.mcu.clock.nanos:
                self.mcu.gpio[pin].set_input_value(bool(edges[place][1]))
                place += 1
            wave[1] = place
        for block in self.mcu.pio:
            if not block.stopped:
                block.advance(cycles)
        for number, (handler, machine) in list(self.handlers.items()):
            if self.mcu.pio[number // 4].irq >> number % 4 & 1:
                self._interrupt(number, handler, machine)

    def _interrupt(self, number, handler, machine):
        """MicroPython's own handler calls ours where the interrupt is still asked for."""
        handlers, self.handlers = self.handlers, {}
        block, bit = number // 4, 1 << number % 4
        self.run(self.late_us)
        if self.mcu.pio[block].irq & bit:
            self.mcu.write_uint32(_PIO + 0x100000 * block + 0x30, bit)
            self.run(self.work_us)
            handler(machine)
        self.handlers = handlers


def _unlink():
    """`from hal.rp2 import line` finds a module that was loaded before on its package, not in sys.modules."""
    for name in _OURS:
        package, _dot, last = name.rpartition(".")
        importlib.import_module(package).__dict__.pop(last, None)


def _pio_class(chip):
    class PIO(pio.PIO):
        def __init__(self, block):
            self._block = block

        def remove_program(self, program):
            del chip._programs[self._block][program]

    return PIO


class _Words:
    """machine.mem32."""

    def __init__(self, mcu):
        self._mcu = mcu

    def __getitem__(self, address):
        return self._mcu.read_uint32(address)

    def __setitem__(self, address, value):
        self._mcu.write_uint32(address, value & 0xFFFFFFFF)


def _pin_class(chip):
    class Pin:
        IN, OUT, PULL_UP, IRQ_FALLING = 0, 1, 1, 4

        def __init__(self, number, mode=None, pull=None, value=None):
            self.number = number
            chip.mcu.write_uint32(_PIN + 8 * number, 5)
            chip.mcu.write_uint32(_PAD + 4 * number + _SET, 1 << 6)  # input enable
            if mode == Pin.OUT:
                chip.mcu.write_uint32(0xD0000024, 1 << number)
                self.value(value or 0)

        def __str__(self):
            return "Pin(GPIO%d, mode=OUT)" % self.number

        def irq(self, handler, trigger, hard=False):
            self.interrupt = handler, trigger, hard

        def value(self, level):
            chip.mcu.write_uint32(0xD0000014 if level else 0xD0000018, 1 << self.number)

    return Pin


class _Channel:
    """rp2.DMA: the fields of the control register as in the RP2040's data sheet, section 2.5.7 (from memory)."""

    def __init__(self, chip):
        self.channel = chip.channels
        chip.channels += 1
        assert self.channel < 12, "the chip has 12 DMA channels"
        self._mcu, self._at = chip.mcu, _DMA + 0x40 * self.channel

    def pack_ctrl(self, enable=True, high_pri=False, size=2, inc_read=True, inc_write=True, ring_size=0,
                  ring_sel=False, chain_to=None, treq_sel=0x3F, irq_quiet=True):
        chain = self.channel if chain_to is None else chain_to
        return (enable | high_pri << 1 | size << 2 | inc_read << 4 | inc_write << 5 | ring_size << 6
                | ring_sel << 10 | chain << 11 | treq_sel << 15 | irq_quiet << 21)

    def config(self, read=None, write=None, count=None, ctrl=None, trigger=False):
        for value, register in ((read, registers.CHN_READ_ADDR), (write, registers.CHN_WRITE_ADDR),
                                (count, registers.CHN_TRANS_COUNT), (ctrl, registers.CHN_AL1_CTRL)):
            if value is not None:
                self._mcu.write_uint32(self._at + register, value)
        if trigger:
            self.active(1)

    def active(self, on):
        register = registers.MULTI_CHAN_TRIGGER if on else registers.CHAN_ABORT
        self._mcu.write_uint32(_DMA + register, 1 << self.channel)

    def close(self):
        self.active(0)
        self.closed = True

    @property
    def read(self):
        return self._mcu.read_uint32(self._at + registers.CHN_READ_ADDR)

    @property
    def write(self):
        return self._mcu.read_uint32(self._at + registers.CHN_WRITE_ADDR)

    @property
    def ctrl(self):
        return self._mcu.read_uint32(self._at + registers.CHN_AL1_CTRL)

    @ctrl.setter
    def ctrl(self, value):
        self._mcu.write_uint32(self._at + registers.CHN_AL1_CTRL, value)


class _Machine:
    """rp2.StateMachine: registers as in the RP2040's data sheet, section 3.7 (from memory)."""

    def __init__(self, chip, number, program=None, **options):
        self._chip, self._number = chip, number
        self._block = _PIO + 0x100000 * (number // 4)
        self._at = self._block + 0xC8 + 0x18 * (number % 4)
        if program:
            self.init(program, **options)

    def init(self, program, freq, out_base=None, set_base=None, in_base=None, jmp_pin=None, **_options):
        options, write = program.options, self._chip.mcu.write_uint32
        self.active(0)
        self._offset = offset = self._chip.load(self._number // 4, program)
        self._chip.mcu.pio[self._number // 4].machines[self._number % 4].reset()  # rp2040py empties FIFOs only so
        divider = round(125_000_000 * 256 / freq)
        write(self._at, divider << 8)
        write(self._at + 0x04, (jmp_pin.number if jmp_pin else 0) << 24 | (program.wrap + offset) << 12
              | (program.wrap_target + offset) << 7)
        threshold = options.get("push_thresh", 32) & 31
        shift = (threshold << 20 | options.get("out_shiftdir", 0) << 19 | options.get("in_shiftdir", 0) << 18
                 | bool(options.get("autopush")) << 16)
        for join in (1 << 31, 0):  # joining the FIFOs and parting them again empties them
            write(self._at + 0x08, shift | join)
        out, sets = out_base.number if out_base else 0, set_base.number if set_base else 0
        write(self._at + 0x14, out | (1 if out_base else 0) << 20 | sets << 5 | (1 if set_base else 0) << 26
              | (in_base.number if in_base else 0) << 15)
        write(self._block + _SET, 1 << 4 + self._number % 4)  # its shift counters and what it waits for
        if set_base:
            write(self._at + 0x10, 0xE000 | (options["set_init"] == pio.PIO.OUT_HIGH))
            write(self._at + 0x10, 0xE081)
            write(_PIN + 8 * sets, 6 + self._number // 4)
        write(self._at + 0x10, offset)  # jump there

    def restart(self):
        write = self._chip.mcu.write_uint32
        write(self._block + _SET, 1 << 4 + self._number % 4)
        write(self._at + 0x10, self._offset)

    def put(self, value):
        self._chip.mcu.write_uint32(self._block + 0x10 + 4 * (self._number % 4), value)

    def irq(self, handler, trigger=1, hard=False):
        self._chip.handlers.pop(self._number, None)
        if handler:
            assert hard, "a soft one waits for the loop"
            self._chip.handlers[self._number] = handler, self

    def active(self, on):
        mask = 1 << self._number % 4
        was = self._chip.mcu.read_uint32(self._block)
        self._chip.mcu.write_uint32(self._block, was | mask if on else was & ~mask)
