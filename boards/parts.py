"""The parts that boards name: what to ask a shop for, what it draws, what it costs. For the generators.

(title, what to look for, typical mA from the 3.3 V rail, cost low, cost high). Costs are estimates in US dollars
for one piece from a hobby shop, without shipping, made without a price list: common practice, no source. Currents
are typical figures from such parts' data sheets, from memory.
"""

PARTS = {
    "pico2": ("RP2350 board", "Pico 2 class, 40 pins, 4 MB flash, USB socket, without Wi-Fi", 45, 5, 9),
    "pico": ("RP2040 board", "Pico class, 40 pins, 2 MB flash, USB socket, without Wi-Fi", 40, 4, 7),
    "s3": ("ESP32-S3 board", "DevKitC-1 class, 44 pins, 8 MB flash or more, PSRAM, two USB sockets", 110, 8, 16),
    "tft": ("TFT panel", "2.0 to 2.8 inch, 320x240, ST7789, four-wire SPI, 3.3 V, IPS, backlight pin that takes "
            "a logic level (a transistor on the module)", 60, 7, 16),
    "oled": ("OLED panel", "1.3 inch, 128x64, SH1106 (or 0.96 inch, SSD1306), I2C, four pins, 3.3 V", 25, 3, 7),
    "encoder": ("Rotary encoder", "24 detents, 24 cycles a turn, with push switch, 6 mm shaft, bare (no board)",
                0, 1, 3),
    "knob": ("Knob", "20 mm, for a 6 mm shaft with a flat, ribbed so that wet fingers hold it", 0, 1, 3),
    "key": ("Key", "12 x 12 mm push button, 7.3 mm high, closes while held; round caps of 11.5 mm, unlike to the touch",
            0, 0.5, 2),
    "port": ("Isolated RS-485 module", "3.3 V supply and logic, isolated supply on board (1 kV or more), 500 kbit/s "
             "or faster, fail-safe receiver, pins for DE and RE", 60, 4, 12),
    "xlr_out": ("XLR-5 socket (female)", "5-pole panel socket, 24 mm round hole, two screws", 0, 3, 8),
    "xlr_in": ("XLR-5 plug (male)", "5-pole panel plug, 24 mm round hole, two screws", 0, 3, 8),
    "buzzer": ("Piezo sounder", "passive (not self-driven), 3 V, 12 mm", 5, 0.5, 2),
    "fuse": ("Resettable fuse F1", "PTC, hold 500 mA, trip 1 A, 0.4 ohm or less", 0, 0.2, 1),
    "r10k": ("Resistor 10 kohm", "1/4 W: holds a line driver off until the firmware runs", 0, 0.02, 0.1),
    "r100k": ("Resistor 100 kohm", "1/4 W, 1 %: divides the 5 V supply for the meter pin", 0, 0.02, 0.1),
    "r120": ("Resistor 120 ohm", "1/4 W: ends the line at the input when this is the last device on it", 0, 0.02, 0.1),
    "slide": ("Slide switch", "small, one pole: switches the 120 ohm resistor in", 0, 0.3, 1),
    "c100n": ("Capacitor 100 nF", "ceramic, beside each module's supply pins", 0, 0.02, 0.1),
    "c10u": ("Capacitor 10 uF", "ceramic or electrolytic (mind its polarity), on the 3.3 V rail", 0, 0.05, 0.3),
    "board": ("Perforated board", "5 x 7 cm, plated holes, with two 20-pin sockets for the controller", 0, 2, 5),
    "wire": ("Hook-up wire", "0.25 mm2 stranded, ten colours, half a metre each; heat-shrink; cable ties", 0, 3, 6),
    "case": ("Case", "printed from boards/case, about 80 g of PETG; four M3 x 10 screws, four M3 inserts", 0, 3, 6),
    "foot": ("Foot switch and jack", "6.3 mm mono jack for the panel; a switch that closes while held", 0, 6, 20),
    "terminator": ("Line terminator", "XLR-5 male plug with 120 ohm, 1/4 W, between pins 2 and 3", 0, 4, 9),
    "bias": ("Line bias for RDM", "2 resistors 680 ohm, on the isolated side; see the wiring page", 0, 0.1, 0.3),
    "stand": ("Stand screw", "1/4-20 or 3/8-16 hex nut, steel, pressed into the case's boss", 0, 0.3, 1),
    "bank": ("USB power bank", "from a known maker, 5 V 1 A or more, stays on at 100 mA; a USB cable", 0, 12, 30),
}
RAIL_MA = {"pico": 300, "s3_devkit": 500}  # what the carrier's 3.3 V pin may give (from memory of their data sheets)


def rail_ma(board):
    """Typical current from the 3.3 V rail with every port driving: mA."""
    return sum(PARTS[key][2] * count for key, count in board.PARTS)
