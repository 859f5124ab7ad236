"""The Wi-Fi and the sACN universe of a device: network.json at the root of the disk. Only boards with Wi-Fi have this.

    on        1: the feed comes by sACN too; 0: by the cable alone
    first     which of them wins where both come, 1: sACN, 0: the cable
    wifi      name of the Wi-Fi, password: its password, as typed; "": none
    own       1: where that Wi-Fi does not answer, the device makes one itself, with WPA2 and own_password, which was
              made at random when this was first chosen; "": never
    universe  1..63999, that comes in; universe2: that comes in for the rig's second, 0: none
    out       universe that the light goes out as, 0: none; out2: that of the rig's second universe
    priority  of what goes out, 0..200, the highest counts; ANSI E1.31 has this range, and 100 where nothing is set
"""

from firmware.show import file_store

PATH = "network.json"
UNIVERSE_LAST = 63999  # ANSI E1.31
PRIORITY_MOST = 200  # ANSI E1.31
WIFI_MOST, PASSWORD_LEAST, PASSWORD_MOST = 32, 8, 63  # letters, IEEE 802.11 (from memory)


def load(disk):
    """(settings, fault): as saved, with defaults for what the file does not have. fault: in words, or None."""
    saved, fault = file_store.load(disk, PATH)
    settings = {"on": 0, "first": 0, "wifi": "", "password": "", "own": 0, "own_password": "", "universe": 1,
                "universe2": 0, "out": 0, "out2": 0, "priority": 100}
    for key in settings:
        if saved and key in saved:
            settings[key] = saved[key]
    return settings, fault


def save(disk, settings):
    """Save the settings. Errors: OSError(ENOSPC)."""
    file_store.save(disk, PATH, settings)
