"""The pin rows of the carrier boards, seen from above. For the generators and checks.

A row is a tuple of labels from the top down; GPIOs are ints. From memory of the makers' pin-out sheets:
compare with the print on your board before you solder.
"""

ROWS = {
    "pico": (
        (0, 1, "GND", 2, 3, 4, 5, "GND", 6, 7, 8, 9, "GND", 10, 11, 12, 13, "GND", 14, 15),
        ("VBUS", "VSYS", "GND", "3V3_EN", "3V3", "VREF", 28, "AGND", 27, 26, "RUN", 22, "GND",
         21, 20, 19, 18, "GND", 17, 16),
    ),
    "s3_devkit": (
        ("3V3", "3V3", "RST", 4, 5, 6, 7, 15, 16, 17, 18, 8, 3, 46, 9, 10, 11, 12, 13, 14, "5V", "GND"),
        ("GND", 43, 44, 1, 2, 42, 41, 40, 39, 38, 37, 36, 35, 0, 45, 48, 47, 21, 20, 19, "GND", "GND"),
    ),
}
USB_UP = {"pico": True, "s3_devkit": False}  # the first label is at the USB end, or at the far end
FIXED = {  # GPIOs that the carrier itself wires up, not on its rows
    "pico": {24: "usb sense", 25: "led", 29: "supply"},
    "s3_devkit": {},
}
RADIO = {"pico": dict.fromkeys((23, 24, 25, 29), "radio")}  # instead of these, on a module with Wi-Fi that needs pins
TITLE = {"pico": "Pico-class board", "s3_devkit": "ESP32-S3 development board"}
GPIO_WORD = {"pico": "GP", "s3_devkit": "IO"}


def fixed(board):
    """{GPIO: what the module itself has wired it to} of a board's module."""
    return RADIO.get(board.MODULE, {}) if getattr(board, "WIFI", False) else FIXED[board.MODULE]


def place(module, label):
    """Where a label is: (0 left or 1 right row, index from the top) of the first; None where it is not."""
    for side, row in enumerate(ROWS[module]):
        if label in row:
            return side, row.index(label)
    return None


def number(module, side, index):
    """What to count to on the board: "pin 24" (counted round), or "left 5" where each row is counted."""
    if module == "pico":
        return f"pin {index + 1 if side == 0 else 40 - index}"
    return f"{('left', 'right')[side]} {index + 1}"


def pins(module):
    """Every pin with the number that the board's netlist uses: [(label, number)]; a Pico's are counted round."""
    left, right = ROWS[module]
    every = (*left, *reversed(right)) if module == "pico" else (*left, *right)
    return [(label, number) for number, label in enumerate(every, 1)]


def name(module, label):
    """How the print on the board calls it: GP18, IO4, GND."""
    return f"{GPIO_WORD[module]}{label}" if isinstance(label, int) else label
