"""RP2350 + 320x240 colour TFT: the base board."""

NAME = "pico2_tft"
CHIP = "rp2350"
PANEL = {"driver": "st7789", "width": 320, "height": 240, "bits": 4}
KEYS = ("push", "back", "look", "black")
