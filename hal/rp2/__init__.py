"""The RP2040 and RP2350: the line and the knob by PIO and DMA, so that they never wait for the processor."""
