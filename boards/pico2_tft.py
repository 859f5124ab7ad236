"""RP2350 + 320x240 colour TFT: the base board. DMX512 ports: one out (with RDM), one in (which may answer RDM) or a
second out.

Wired as pico_tft is; only the panel's bus is faster.
"""

from boards.pico_tft import BUZZER, FOOT, KEY_PINS, KEYS, KNOB, LED, LINES, MODULE, PANEL, POWER, UNIVERSES  # noqa: F401

NAME = "pico2_tft"
CHIP = "rp2350"
LAMPS = 128

FLASH_BLOCKS = 768  # 3 MB of 4: the RP2 port's image for this board (from memory)
PANEL = dict(PANEL, hz=37_500_000)
