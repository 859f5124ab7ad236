"""The settings of the device, not of a show: kit.json at the root of the disk. Read by the app at boot, changed by the
Settings pages."""

from firmware.show import file_store

PATH = "kit.json"


def defaults():
    """The settings of a new device -> dict of whole numbers."""
    return {
        "light": 60,  # brightness of the panel, per cent
        "dim": 15,  # brightness without a gesture for dim_s, per cent
        "dim_s": 60,  # seconds without a gesture until then; 0: never
        "off_s": 0,  # seconds without a gesture until the panel is dark; 0: never
        "turn": 1,  # -1: the knob counts the other way
        "per": 1,  # detents a step
        "quick": 1,  # how much faster values go with a fast turn: 0 not at all, 1, 2
        "level": 0,  # level in 0: tenths of a stop, 1: thirds, 2: halves, 3: per cent
        "white": 0,  # white in 0: kelvin, 1: mired
        "green": 0,  # green in 0: Duv, 1: fractions of correction
        "lock": 1,  # 1: holding back locks the knob and keys
        "locked": 0,  # 1: they are locked, and stay so over a power cut
        "sound": 1,
        "date": 0,  # today, days since 31 December 1999, as the user or the host set it; 0: not set
        "volts": 230,  # of the mains, for the load
        "amps": 16,  # of one circuit
        "rdm": 0,  # 1: a desk at the port in finds the device by RDM, and is answered
        "port2": 0,  # of a board with two ports, from the next start on: 0: the second listens, 1: it sends
        "wh": 0,  # of the battery that feeds the lamps; 0: none
    }


def load(disk):
    """(settings, fault): as saved, with the defaults for what the file does not have or where it is damaged. fault: in
    words, or None."""
    settings = defaults()
    saved, fault = file_store.load(disk, PATH)
    for key in settings:
        if saved and isinstance(saved.get(key), int):
            settings[key] = saved[key]
    settings["turn"] = settings["turn"] or 1  # a knob that counts nothing could not put that right
    return settings, fault


def save(disk, settings):
    """Save the settings. Errors: OSError(ENOSPC)."""
    file_store.save(disk, PATH, settings)
