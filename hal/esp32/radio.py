"""Wi-Fi on the ESP32-S3 (hal/contract.Radio). Loaded by firmware/feed_network.py while sACN is in use. Not tried on a
chip.

The driver joins by itself, in a task of its own, and again whenever it was left; here it is only asked how it is.
"""

import network

from hal.radio import JOINING, Wlan

# What keeps it from joining; by all other states it is at it. A wrong password mostly shows as a handshake without end.
_WHY = {
    network.STAT_NO_AP_FOUND: "no such Wi-Fi", network.STAT_WRONG_PASSWORD: "wrong password",
    network.STAT_HANDSHAKE_TIMEOUT: "wrong password", network.STAT_ASSOC_FAIL: "refused",
    network.STAT_BEACON_TIMEOUT: "out of reach",
}


class Radio(Wlan):
    """Starting it takes some tens of milliseconds (from memory)."""

    def _begin(self, name, password):
        wlan = self._wlan
        wlan.active(False)  # one that is trying another name would not take this one
        wlan.active(True)
        # Else it sleeps between beacons, and the access point keeps multicast packets back until the next.
        wlan.config(pm=network.WLAN.PM_NONE)
        if password:
            wlan.connect(name, password)
        else:
            wlan.connect(name)

    def _open(self, name, password):
        self._own.active(True)  # this driver takes a name only then (from memory)
        self._own.config(ssid=name, key=password, security=network.AUTH_WPA2_PSK)

    def _outside(self):
        if self._wlan.isconnected():
            return "joined"
        return _WHY.get(self._wlan.status(), JOINING)
