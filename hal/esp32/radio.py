"""Wi-Fi with one UDP socket on the ESP32-S3 (hal/contract.Radio). Loaded by firmware/feed_network.py while sACN comes
in. Not tried on a chip.

The driver joins by itself, in a task of its own, and again whenever it was left; here it is only asked how it is.
"""

import select
import socket

import network

# What keeps it from joining; by all other states it is at it. A wrong password mostly shows as a handshake without end.
_WHY = {
    network.STAT_NO_AP_FOUND: "no such Wi-Fi", network.STAT_WRONG_PASSWORD: "wrong password",
    network.STAT_HANDSHAKE_TIMEOUT: "wrong password", network.STAT_ASSOC_FAIL: "refused",
    network.STAT_BEACON_TIMEOUT: "out of reach",
}


class Radio:
    """board: asks for nothing here."""

    def __init__(self, board):
        self._wlan = network.WLAN(network.STA_IF)
        self._socket = self._poll = None
        self._fault = ""

    def join(self, name, password):
        """Begin to join. Starting the radio takes some tens of milliseconds (from memory)."""
        wlan = self._wlan
        self._fault = ""
        try:
            wlan.active(False)  # one that is trying another name would not take this one
            wlan.active(True)
            # Else it sleeps between beacons, and the access point keeps multicast packets back until the next.
            wlan.config(pm=network.WLAN.PM_NONE)
            if password:
                wlan.connect(name, password)
            else:
                wlan.connect(name)
        except (OSError, RuntimeError, ValueError) as e:  # a name that is too long; no memory for the driver
            self._fault = str(e.args[-1])

    def word(self):
        """What it does, in words."""
        if self._fault:
            return self._fault
        if self._wlan.isconnected():
            return "joined"
        return _WHY.get(self._wlan.status(), "joining")

    def address(self):
        """Its address: text."""
        return self._wlan.ifconfig()[0] if self._wlan.isconnected() else ""

    def signal(self):
        """dBm, or None."""
        try:
            return self._wlan.status("rssi")
        except (OSError, RuntimeError):  # it is not joined
            return None

    def listen(self, port, groups):
        """Open the socket anew. Errors: OSError."""
        self._hush()
        sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self._socket = sock
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        sock.bind(("0.0.0.0", port))
        sock.setblocking(False)
        own = _octets(self.address() or "0.0.0.0")  # it may have gone just now
        for group in groups:
            sock.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, _octets(group) + own)
        self._poll = select.poll()
        self._poll.register(sock, select.POLLIN)

    def receive(self, buffer):
        """The next datagram: its octets. Where none waits nothing is allocated; readinto() would go on into the same
        buffer with the next datagram, so that recv() it is, which makes a new object for each."""
        if self._poll is None:
            return 0
        for _waiting in self._poll.ipoll(0):
            try:
                data = self._socket.recv(len(buffer))
            except OSError:  # it was for nobody after all
                return 0
            buffer[:len(data)] = data
            return len(data)
        return 0

    def send(self, data, address, port):
        """Send a datagram, if there is room for it now."""
        try:
            if self._socket:
                self._socket.sendto(data, (address, port))
        except OSError:  # no buffer is free, or the Wi-Fi has gone
            pass

    def ident(self):
        """Its MAC address."""
        return self._wlan.config("mac")

    def close(self):
        """Switch it off."""
        self._hush()
        try:
            self._wlan.active(False)
        except (OSError, RuntimeError):  # it never came on
            pass

    def _hush(self):
        if self._socket:
            self._socket.close()
        self._socket = self._poll = None


def _octets(address):
    """Four octets of an address in text."""
    return bytes([int(part) for part in address.split(".")])
