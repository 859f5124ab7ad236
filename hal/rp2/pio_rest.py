"""The PIO program at_rest of a port that answers RDM. Used by rdm_in; it and dmx_out fill their PIO."""

# ruff: noqa: F821  the names below are the PIO assembler's

from micropython import const
from rp2 import asm_pio

AT_REST_HZ = const(1_000_000)


@asm_pio()
def at_rest():
    """Raises its interrupt once for each time that the pin stays high for as many passes as the first word says, and
    one more: each two cycles, as a start bit is low for four. It takes back what nobody has heard in so many times
    five."""
    pull(block)
    wrap_target()
    wait(0, pin, 0)
    label("again")
    mov(x, osr)
    label("high")
    jmp(pin, "on")
    jmp("again")
    label("on")
    jmp(x_dec, "high")
    irq(rel(0))
    mov(x, osr)
    label("heard")
    jmp(x_dec, "heard")[4]
    irq(clear, rel(0))
    wrap()
