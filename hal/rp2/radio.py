"""Wi-Fi of the RP2 boards that have a CYW43 beside the chip (hal/contract.Radio). Loaded by firmware/feed_network.py
while sACN is in use. Not tried on a chip.

connect() only begins to join, and the driver does the rest in an interrupt; but what has failed, or was lost, it leaves
at that, so that word() begins again. Switched on for the first time, the radio is given its program, which takes some
tenths of a second (from memory): at power-up before the loop begins, else when sACN is switched on. The line goes on
meanwhile, as DMA repeats the last frame. Its bus is a state machine of the last PIO that has one free, the third here,
and two DMA channels (pico-sdk, pico_cyw43_driver/cyw43_bus_pio_spi.c).
"""

import time

import network
from micropython import const

from hal.radio import JOINING, Wlan

_AGAIN_MS = const(10000)  # between two tries, each of which takes some ms
_WHY = {network.STAT_NO_AP_FOUND: "no such Wi-Fi", network.STAT_WRONG_PASSWORD: "wrong password",
        network.STAT_CONNECT_FAIL: "refused"}
_NO_ADDRESS = const(2)  # joined, and waiting for DHCP: this port has no name for it
_AT_IT = (network.STAT_CONNECTING, _NO_ADDRESS, network.STAT_GOT_IP)


class Radio(Wlan):
    """`_wifi`: name and password of the Wi-Fi that it is to join; `_since`: ticks of the last try."""

    _wifi = ("", "")
    _since = 0
    _why = JOINING

    def __init__(self, board):
        Wlan.__init__(self, board)
        board.power.feed()  # what comes now is long
        self._try(self._wlan.active, True)  # it has no address of its own before

    def _begin(self, name, password):
        self._wifi, self._why = (name, password), JOINING
        self._wlan.active(True)
        # Else it sleeps between beacons, and the access point keeps multicast packets back until the next.
        self._wlan.config(pm=network.WLAN.PM_NONE)
        self._connect()

    def _connect(self):
        self._since = time.ticks_ms()
        self._wlan.disconnect()
        self._wlan.connect(self._wifi[0], self._wifi[1] or None)

    def _open(self, name, password):
        self._own.config(ssid=name, key=password)  # WPA2 with AES unless told otherwise: MicroPython's ports/rp2/main.c
        self._own.active(True)

    def _outside(self):
        status = self._wlan.status()
        if status == network.STAT_GOT_IP:
            self._why = JOINING
            return "joined"
        if status not in _AT_IT:
            self._why = _WHY.get(status, JOINING)
            if time.ticks_diff(time.ticks_ms(), self._since) >= _AGAIN_MS:
                try:
                    self._connect()
                except OSError:  # the next time, perhaps
                    pass
        return self._why
