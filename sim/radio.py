"""The desktop's Wi-Fi (hal/contract.Radio): what a simulated device hears of a network.

The air has invented Wi-Fis, and datagrams that a script hands over. With an address of this computer it has a UDP
socket there as well, which other programs send to: by unicast, and for multicast on the interface with that address.
"""

import socket

JOIN_MS = 1500  # that joining takes
LOOPBACK = "127.0.0.1"
_UP = ("joined", "own Wi-Fi")
_MOST = 1000  # datagrams that are kept of those that went out


class Air:
    """`wifi`: the Wi-Fis that there are, {name: password}; `signal`: dBm; `waiting`: datagrams that are to come in;
    `own`: name and password of the one that the device makes, or None; `groups`: the multicast groups that are listened
    to; `sent`: the newest that went out, (address, bytes)."""

    def __init__(self, address=""):
        """address: of this computer, "127.0.0.1" for what runs on it alone; "": no socket is opened."""
        self.wifi = {"Studio": ""}
        self.own = None
        self.signal = -58
        self.waiting = []
        self.groups = ()
        self.sent = []
        self.address = address
        self._socket = None

    def listen(self, port, groups):
        """Open the socket. Errors: OSError."""
        self.close()
        self.groups = tuple(groups)
        if not self.address:
            return
        one = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        try:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind(("", port))
            for group in groups:
                one.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP,
                               socket.inet_aton(group) + socket.inet_aton(self.address))
            one.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, socket.inet_aton(self.address))
        except OSError:
            one.close()
            raise
        one.setblocking(False)
        self._socket = one

    def take(self, size):
        """The next datagram, of up to so many octets: bytes, or None."""
        if self.waiting:
            return self.waiting.pop(0)[:size]
        if self._socket:
            try:
                return self._socket.recv(size)
            except OSError:  # none waits
                pass
        return None

    def send(self, data, address, port):
        """A datagram goes out."""
        self.sent.append((address, bytes(data)))
        del self.sent[:-_MOST]
        if self._socket:
            try:
                self._socket.sendto(data, (address, port))
            except OSError:  # there is no way for it
                pass

    def close(self):
        """Hear nothing any more."""
        self.groups = ()
        self.waiting.clear()
        if self._socket:
            self._socket.close()
        self._socket = None


class Radio:
    """board: has the `air` around it, and a clock."""

    def __init__(self, board):
        self._air, self._clock = board.air, board.clock
        self._name = self._password = None
        self._own = False  # it makes a Wi-Fi itself
        self._since_us = 0

    def join(self, name, password):
        """Begin to join."""
        self._own = False
        self._air.own = None
        self._name, self._password, self._since_us = name, password, self._clock.us()

    def host(self, name, password):
        """Make a Wi-Fi of its own."""
        self._own, self._name = True, None
        self._air.own = (name, password)

    def word(self):
        """What it does, in words."""
        wifi = self._air.wifi
        if self._own:
            return "own Wi-Fi"
        if self._clock.us() - self._since_us < JOIN_MS * 1000:
            return "joining"
        if self._name not in wifi:
            return "no such Wi-Fi"
        return "joined" if wifi[self._name] == self._password else "wrong password"

    def address(self):
        """Its address: text."""
        return (self._air.address or LOOPBACK) if self.word() in _UP else ""

    def signal(self):
        """dBm, or None."""
        return self._air.signal if self.word() == "joined" else None

    def listen(self, port, groups):
        """Open the socket anew. Errors: OSError."""
        self._air.listen(port, groups)

    def receive(self, buffer):
        """The next datagram: its octets."""
        data = self._air.take(len(buffer)) if self.word() in _UP else None
        if not data:
            return 0
        buffer[:len(data)] = data
        return len(data)

    def send(self, data, address, port):
        """Send a datagram."""
        if self.word() in _UP:
            self._air.send(data, address, port)

    def ident(self):
        """Its MAC address: one of those that nobody gives out (IEEE 802: the second bit of the first octet)."""
        return b"\x02\0\0\0\0\1"

    def close(self):
        """Leave."""
        self._name, self._own = None, False
        self._air.own = None
        self._air.close()
