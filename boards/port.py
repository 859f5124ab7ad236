"""The sums behind a port: resting voltage of the line, what the driver drives, what it all draws.

Volts, ohms, milliamperes. Values of parts are typical figures of their data sheets, those of standards are as
remembered: none of these documents was at hand. tests/boards/test_port.py holds the sums to a network solver and to
ngspice.
"""

OHMS = {"r120": 120.0, "r357": 357.0, "r10k": 10e3, "r330": 330.0, "r2k2": 2.2e3, "r22k": 22e3, "r4k7": 4.7e3,
        "r100k": 1e5}
LINE_SUPPLY, SUPPLY_OFF = 3.3, 0.02  # the regulator on the isolated side; its tolerance
OFF = 0.01  # tolerance of the 1 % resistors
REST_V = 0.245  # least voltage between the data lines at rest, both ends terminated (ANSI E1.20, from memory)
UNIT_LOADS, UNIT_LOAD = 32, 12e3  # EIA-485-A (from memory): as many receivers, each so many ohms from line to common
DRIVER_LOAD, DRIVER_V = 54.0, 1.5  # EIA-485-A (from memory): the load at which a driver still makes so much
DRIVER_TYPICAL_V, LINE_SIDE_MA = 2.0, 5.0  # the transceiver at 3.3 V: into 54 ohm; what it draws beside
CONVERTER_V, CONVERTER_MA, EFFICIENCY = 5.2, 100.0, 0.65  # the converter at half load: output, its limit, efficiency


def parallel(*ohms):
    """Resistors side by side."""
    return 1 / sum(1 / value for value in ohms)


def rest(ends=2, receivers=0, worst=False, bias=None, supply=LINE_SUPPLY):
    """Volts from data + to data - while nobody drives: the bias divides the isolated supply. ends: terminators on the
    line; receivers: unit loads; worst: every tolerance at its bad end."""
    off = (SUPPLY_OFF, OFF) if worst else (0, 0)
    resistor = (OHMS["r357"] if bias is None else bias) * (1 + off[1])
    line = [OHMS["r120"] * (1 - off[1])] * ends + [2 * UNIT_LOAD] * receivers
    load = parallel(*line)
    return supply * (1 - off[0]) * load / (2 * resistor + load)


def driver_load(ends=2):
    """Ohms that the driver of the out sees: the ends and the bias resistors."""
    return parallel(*[OHMS["r120"]] * ends, 2 * OHMS["r357"])


def line_volts(series=0.0):
    """The least volts on the terminated line: for a 0, against which the bias works. The driver is taken as its open
    voltage, 0.3 V below its supply (from memory), behind the resistance with which it just makes 1.5 V at 54 ohm."""
    open_volts = LINE_SUPPLY - 0.3
    inside = DRIVER_LOAD * (open_volts - DRIVER_V) / DRIVER_V + 2 * series
    ends, bias = OHMS["r120"] / 2, 2 * OHMS["r357"]
    driven = open_volts * parallel(ends, bias) / (inside + parallel(ends, bias))
    against = LINE_SUPPLY * parallel(ends, inside) / (bias + parallel(ends, inside))
    return driven - against


def line_ma():
    """What a driving port draws from its isolated 3.3 V: the line's current and the transceiver's own."""
    return 1000 * DRIVER_TYPICAL_V / driver_load() + LINE_SIDE_MA


def feed_ma():
    """What a driving port draws from the 5 V rail, through its converter."""
    return line_ma() * CONVERTER_V / (EFFICIENCY * 5.0)


def sums():
    """The sums as rows for the page: [(what, how, result)]."""
    end, bias = OHMS["r120"], OHMS["r357"]
    low, least, most = LINE_SUPPLY * (1 - SUPPLY_OFF), end / 2 * (1 - OFF), bias * (1 + OFF)
    open_volts = LINE_SUPPLY - 0.3
    inside = DRIVER_LOAD * (open_volts - DRIVER_V) / DRIVER_V

    def mv(volts):
        return f"{1000 * volts:.0f} mV"
    return [
        ("Line at rest, both ends terminated",
         f"{LINE_SUPPLY} V x {end / 2:.0f} / (2 x {bias:.0f} + {end / 2:.0f})", mv(rest())),
        ("the same, every tolerance at its bad end", f"{low:.2f} V x {least:.1f} / (2 x {most:.1f} + {least:.1f})",
         mv(rest(worst=True))),
        (f"the same, {UNIT_LOADS} unit loads as well", f"{2 * UNIT_LOAD / UNIT_LOADS:.0f} ohm more across the pair",
         mv(rest(worst=True, receivers=UNIT_LOADS))),
        ("one end only (no terminator at the last lamp)",
         f"{LINE_SUPPLY} V x {end:.0f} / (2 x {bias:.0f} + {end:.0f})", mv(rest(ends=1))),
        ("with 562 ohm, from this supply", "too little", mv(rest(bias=562))),
        ("with 562 ohm, from 5 V", "what is usual where the isolated side has 5 V", mv(rest(bias=562, supply=5))),
        ("What the driver drives", f"2 x {end:.0f} and 2 x {bias:.0f} ohm side by side; at least {DRIVER_LOAD:.0f} "
                                   f"wanted",
         f"{driver_load():.1f} ohm"),
        ("Least voltage on the line", f"a 0, the bias against it; driver as {open_volts:.1f} V behind {inside:.0f} ohm",
         f"{line_volts():.2f} V"),
        ("the same with 10 ohm in each data lead", "a fifth lost, and the transceiver's pins need none",
         f"{line_volts(10):.2f} V"),
        ("A driving port, isolated side", f"{DRIVER_TYPICAL_V} V / {driver_load():.1f} ohm + {LINE_SIDE_MA:.0f} mA",
         f"{line_ma():.0f} mA"),
        ("the same from the 5 V rail", f"{line_ma():.0f} mA x {CONVERTER_V} V / ({EFFICIENCY} x 5 V)",
         f"{feed_ma():.0f} mA"),
        ("Heat of the regulator there", f"({CONVERTER_V} - {LINE_SUPPLY}) V x {line_ma():.0f} mA",
         f"{(CONVERTER_V - LINE_SUPPLY) * line_ma():.0f} mW"),
    ]
