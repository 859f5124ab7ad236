"""What each chip's pins can do, and whether a board asks only that. For the maker's computer, not the device.

Sources, all from memory of the chips' datasheets (none was at hand): the GPIO function tables of the RP2040
(section 2.19.2) and RP2350 (section 9.4), the ESP32-S3's pin and strapping tables (chapter 2). tests/boards
holds the RP2040's table against an independent one, that of the CircuitPython compatibility layer.
"""

import boards.modules

_UART_RP2 = {0: (0, 12, 16, 28), 1: (4, 8, 20, 24)}  # first of each (TX, RX) pair
OPEN = "clock, stays open"  # what `asks` says of a pin that the chip uses inside and nothing may be wired to
RESERVED = {  # pins that the chip or its module needs for something else
    "esp32s3": {
        **dict.fromkeys((0, 3, 45, 46), "a strapping pin, read at start"),
        **dict.fromkeys((19, 20), "USB"),
        **dict.fromkeys(range(22, 26), "not there"),
        **dict.fromkeys(range(26, 33), "the flash chip"),
        **dict.fromkeys(range(33, 38), "the eight-line PSRAM of the larger modules"),
        **dict.fromkeys((43, 44), "the serial console"),
    },
    "rp2040": {},
    "rp2350": {},
}
_ADC = {  # of the S3 only ADC1: its ADC2 can't measure while Wi-Fi is on
    "esp32s3": range(1, 11),
    "rp2040": range(26, 30),
    "rp2350": range(26, 30),
}
_ESP_BUSES = {"spi": (1, 2), "uart": (1, 2), "i2c": (0, 1)}  # UART 0 is the console


def exists(chip, pin):
    """True where the chip (in the package these boards use) has that pin."""
    return 0 <= pin <= (48 if chip == "esp32s3" else 29)


def can(chip, pin, function, bus=None):
    """True where the pin can do it. function: "spi sck", "spi mosi", "i2c sda", "i2c scl", "uart tx",
    "uart rx", "adc", "pwm", "gpio"; bus: the number of the SPI, I2C or UART."""
    if not exists(chip, pin) or pin in RESERVED[chip]:
        return False
    if function == "adc":
        return pin in _ADC[chip]
    if function in ("gpio", "pwm"):
        return True
    if chip == "esp32s3":  # a matrix takes any bus signal to any pin; there is no PIO
        return bus in _ESP_BUSES.get(function.split()[0], ())
    return _rp2(pin, function, bus)


def _rp2(pin, function, bus):
    kind, signal = function.split()
    if kind == "spi":
        return (pin // 8) % 2 == bus and pin % 4 == {"miso": 0, "cs": 1, "sck": 2, "mosi": 3}[signal]
    if kind == "i2c":
        return (pin // 2) % 2 == bus and pin % 2 == {"sda": 0, "scl": 1}[signal]
    return pin - {"tx": 0, "rx": 1}[signal] in _UART_RP2.get(bus, ())


def opened(board):
    """GPIOs that must have no wire, since the chip itself drives them."""
    return [pin for what, pin, _, _ in asks(board) if what.endswith(OPEN)]


def asks(board):
    """What the board file asks of each pin: [(what for, pin, function, bus)], in the file's order."""
    panel = board.PANEL
    found = []
    for name, pin in panel["pins"].items():
        bus = name in ("sck", "mosi", "sda", "scl")
        function = panel["bus"] + " " + name if bus else "pwm" if name == "bl" else "gpio"
        found.append(("panel " + name, pin, function, panel["id"]))
    found += [("knob a", board.KNOB["a"], "gpio", None), ("knob b", board.KNOB["b"], "gpio", None)]
    keys = zip(board.KEYS, board.KEY_PINS, strict=True)
    found += [("key " + name, pin, "gpio", None) for name, pin in keys]
    for letter, line in zip("ABCD", board.LINES, strict=False):
        found += [(f"port {letter} {end}", line[end], "uart " + end, line["uart"]) for end in ("tx", "rx")]
        found.append((f"port {letter} drive", line["drive"], "gpio", None))
        found += [(f"port {letter} {OPEN}", pin, "gpio", None) for pin in line.get("clock", ())]
    found += [(name, pin, function, None) for name, pin, function in (
        ("foot switch", board.FOOT, "gpio"), ("buzzer", board.BUZZER, "pwm"), ("led", board.LED, "gpio"),
        ("supply", board.POWER["adc"], "adc"), ("usb sense", board.POWER["usb"], "gpio"))]
    return [ask for ask in found if ask[1] is not None]


def problems(board):
    """Everything wrong with a board's pins: list of sentences, empty when all is well."""
    wrong, taken = [], {}
    fixed = boards.modules.fixed(board)
    for what, pin, function, bus in asks(board):
        if pin in taken:
            wrong.append(f"{board.NAME}: GPIO {pin} is used by {taken[pin]} and by {what}")
        taken[pin] = what
        if not can(board.CHIP, pin, function, bus):
            no = f"can't be {function} {'' if bus is None else bus}".rstrip()
            reason = RESERVED[board.CHIP].get(pin, no)
            wrong.append(f"{board.NAME}: GPIO {pin} for {what}: {reason}")
        if fixed.get(pin, what) != what:
            wrong.append(f"{board.NAME}: GPIO {pin} for {what}: wired to the {fixed[pin]} on the module")
        if pin not in fixed and boards.modules.place(board.MODULE, pin) is None:
            wrong.append(f"{board.NAME}: GPIO {pin} for {what}: not on the module's pin rows")
    return wrong + _together(board)


def _together(board):
    """Rules about several pins: PWM slices, state machines, the encoder's neighbours."""
    wrong = []
    if board.CHIP == "esp32s3":
        return wrong
    backlight = board.PANEL["pins"].get("bl")
    if None not in (backlight, board.BUZZER) and backlight // 2 % 8 == board.BUZZER // 2 % 8:
        wrong.append(f"{board.NAME}: backlight and buzzer share a PWM slice, so they would share a frequency")
    if board.KNOB["b"] != board.KNOB["a"] + 1:
        wrong.append(f"{board.NAME}: knob b must be the pin after knob a, to be read by PIO")
    if len(board.LINES) > 2:
        wrong.append(f"{board.NAME}: {len(board.LINES)} ports; the two PIOs have state machines for two")
    return wrong
