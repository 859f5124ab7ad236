"""The parameters of RDM that are used here: their numbers, what their data are, and reasons for a refusal. Loaded while
lamps are asked for. Source: ANSI E1.20, tables of parameter IDs, NACK reasons, slot labels and sensor units (from
memory; slot labels from 0x0211 on: ANSI E1.37-5, from memory).
"""

from micropython import const

from firmware.wire.rdm import DATA_MOST, word

PROXIED_DEVICES, PROXIED_COUNT = const(0x0010), const(0x0011)
QUEUED_MESSAGE, STATUS_MESSAGES = const(0x0020), const(0x0030)
SUPPORTED_PARAMETERS, DEVICE_INFO = const(0x0050), const(0x0060)
MODEL, MAKER, LABEL = const(0x0080), const(0x0081), const(0x0082)
SOFTWARE_LABEL = const(0x00C0)
PERSONALITY, PERSONALITY_TEXT = const(0x00E0), const(0x00E1)
START_ADDRESS = const(0x00F0)
SLOT_INFO, SLOT_TEXT, SLOT_DEFAULTS = const(0x0120), const(0x0121), const(0x0122)
SENSOR_DEFINITION, SENSOR_VALUE = const(0x0200), const(0x0201)
DEVICE_HOURS, LAMP_HOURS = const(0x0400), const(0x0401)
IDENTIFY = const(0x1000)

TEXT_MOST = const(32)
INFO_LENGTH = const(19)
NO_ADDRESS = const(0xFFFF)  # the start address of a device without slots
NO_LABEL = const(0xFFFF)  # SD_UNDEFINED, of a slot
NO_HOURS = const(0xFFFFFFFF)

# As text, which is smaller than a dict: number, bytes of an answer's data at most (*: as many as fit).
_TABLE = """
0010 *
0011 3
0020 *
0030 *
0050 *
0060 19
0080 32
0081 32
0082 32
00C0 32
00E0 2
00E1 35
00F0 2
0120 *
0121 34
0122 *
0200 45
0201 9
0400 4
0401 4
1000 1
"""
# Reasons for a refusal: the words for each number, and the numbers of those that the pocket itself gives.
UNKNOWN_PID, FORMAT, NOT_THAT_CLASS, OUT_OF_RANGE, NO_SUB_DEVICE = const(0), const(1), const(5), const(6), const(9)
_REASONS = ("no such parameter", "format", "hardware fault", "refused by its proxy", "write protected",
            "cannot do that with it", "out of range", "buffer full", "packet too large", "no such sub-device",
            "proxy's buffer full")
# Units of sensors, by number: ANSI E1.20, table of sensor units (from memory).
_UNITS = ("", "°C", "V", "V", "V", "A", "A", "A", "Hz", "ohm", "W", "kg", "m", "m²", "m³", "kg/m³", "m/s", "m/s²", "N",
          "J", "Pa", "s", "°", "sr", "cd", "lm", "lx", "IRE", "B")
_PREFIXES = (1, 0.1, 0.01, 1e-3, 1e-6, 1e-9)  # deci, centi, milli, micro, nano; what is smaller no lamp has


def answer_most(pid, getting):
    """Bytes of data that the answer to a request may have. A write is answered by none."""
    if not getting:
        return 0
    at = _TABLE.find("\n%04X " % pid)
    most = _TABLE[at + 1 : _TABLE.find("\n", at + 1)].split(" ")[1] if at >= 0 else "*"
    return DATA_MOST if most == "*" else int(most)


def reason(data):
    """The words for a refusal. data: of the answer."""
    number = word(data) if len(data) > 1 else 99
    return _REASONS[number] if number < len(_REASONS) else "reason %d" % number


def text(data):
    """Text of a device, as it may be shown: up to 32 characters, what is no ASCII left out."""
    return "".join([chr(b) for b in data[:TEXT_MOST] if 32 <= b < 127]).strip()


def info(data):
    """DEVICE_INFO -> (model, slots, personality, personalities, address or 0, sensors). Errors: ValueError."""
    if len(data) != INFO_LENGTH:
        raise ValueError("DEVICE_INFO has %d bytes, not 19" % len(data))
    address = word(data, 14)
    return word(data, 2), word(data, 10), data[12], data[13], 0 if address == NO_ADDRESS else address, data[18]


def slots(data):
    """SLOT_INFO -> list of (slot from 0, type, label or, where the type is not 0, the slot that it belongs to)."""
    return [(word(data, n), data[n + 2], word(data, n + 3)) for n in range(0, len(data) - 4, 5)]


def number32(data):
    """Four bytes as a number, -1 where there are not four."""
    return int.from_bytes(data, "big") if len(data) == 4 else -1


def sensor(definition, value):
    """A sensor in words: (its name, its value with its unit). definition, value: data of SENSOR_DEFINITION and
    SENSOR_VALUE. Errors: ValueError: too short."""
    if len(definition) < 13 or len(value) < 3:
        raise ValueError("a sensor's data are too short")
    unit, prefix = definition[2], definition[3]
    reading = word(value, 1)
    reading -= (reading & 0x8000) << 1
    share = _PREFIXES[prefix] if prefix < len(_PREFIXES) else 10.0 ** (prefix - 0x10) if 0x11 <= prefix <= 0x13 else 1
    shown = "%d" % reading if share == 1 else "%.1f" % (reading * share)
    name = text(definition[13:]) or "Sensor %d" % definition[0]
    return name, (shown + " " + (_UNITS[unit] if unit < len(_UNITS) else "")).strip()
