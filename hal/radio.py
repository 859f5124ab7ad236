"""Wi-Fi with one UDP socket by MicroPython's `network` and `socket` (hal/contract.Radio): the half that is the same for
every chip. Used by hal/esp32/radio.py and hal/rp2/radio.py, which begin to join and say why they have not. Not tried on
a chip.
"""

import select
import socket

import network

JOINING = "joining"


class Wlan:
    """The class Radio without what differs. board: asks for nothing here. A child has _begin(name, password), to join;
    _outside(): how that is, in words; and _open(name, password), to make a Wi-Fi of its own."""

    def __init__(self, board):
        self._wlan = network.WLAN(network.STA_IF)
        self._own = None  # the other side of the radio, while it makes a Wi-Fi itself
        self._socket = self._poll = None
        self._fault = ""

    def join(self, name, password):
        """Begin to join, in place of a Wi-Fi of its own."""
        self._end_own()
        self._try(self._begin, name, password)

    def host(self, name, password):
        """Make a Wi-Fi of its own, WPA2, in place of one that is to be joined. MicroPython gives addresses there by
        DHCP."""
        self._end_own()
        self._try(self._wlan.active, False)
        self._own = network.WLAN(network.AP_IF)
        self._try(self._open, name, password)

    def word(self):
        """What it does, in words."""
        if self._fault:
            return self._fault
        return "own Wi-Fi" if self._own else self._outside()

    def address(self):
        """Its address: text."""
        if self._own:
            return self._own.ifconfig()[0]
        return self._wlan.ifconfig()[0] if self._wlan.isconnected() else ""

    def signal(self):
        """dBm, or None."""
        try:
            return self._wlan.status("rssi") if not self._own and self._wlan.isconnected() else None
        except (OSError, RuntimeError, ValueError):  # it has gone just now
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
        self._end_own()
        try:
            self._wlan.active(False)
        except (OSError, RuntimeError):  # it never came on
            pass

    # --- inside ---

    def _try(self, verb, *args):
        """Call a verb of the driver; what it refuses is the word from then on."""
        self._fault = ""
        try:
            verb(*args)
        except (OSError, RuntimeError, ValueError) as e:  # a name that is too long; no memory for the driver
            self._fault = str(e.args[-1])

    def _end_own(self):
        if self._own:
            self._try(self._own.active, False)
            self._own = None

    def _hush(self):
        if self._socket:
            self._socket.close()
        self._socket = self._poll = None


def _octets(address):
    """Four octets of an address in text."""
    return bytes([int(part) for part in address.split(".")])
