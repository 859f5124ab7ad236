"""Streaming ACN: one packet of ANSI E1.31-2018 as it came in. Only boards with Wi-Fi have this and its siblings:
e131_sources.py keeps the sources of a universe, e131_out.py makes packets, e131_discovery.py lists what is there.

All numbers of a packet are big-endian, and places are octets from its first one on, as in the standard's tables 4-1
(data packet), 4-3 and 8-1 (universe discovery packet). Nothing here takes from the heap but Packet's own making.
"""

from micropython import const

PORT = const(5568)  # ACN_SDT_MULTICAST_PORT
UNIVERSE_LAST = const(63999)
DISCOVERY_UNIVERSE = const(64214)  # E131_DISCOVERY_UNIVERSE
PRIORITY_MOST = const(200)
PRIORITY = const(100)  # the usual one
LOST_MS = const(2500)  # E131_NETWORK_DATA_LOSS_TIMEOUT
SIZE = const(638)  # octets of a data packet with 512 slots
HEAD = const(126)  # octets before the first slot
LONGEST = const(1144)  # of a discovery packet with 512 universes
PREVIEW = const(0x80)  # options: not for live output,
TERMINATED = const(0x40)  # the source stops
ROOT = b"\x00\x10\x00\x00ASC-E1.17\x00\x00\x00"  # octets 0..15: preamble, postamble, ACN packet identifier
# What read() says of a packet.
DATA, DISCOVERY, SHORT, WRONG = const(0), const(1), const(2), const(3)
_VECTOR_DATA, _VECTOR_EXTENDED = const(4), const(8)  # of the root layer
_FLAGS = const(0x7000)
_DISCOVERY_HEAD = const(120)


def group(universe):
    """The multicast address of a universe: text. Source: ANSI E1.31, table 9-10."""
    return "239.255.%d.%d" % (universe >> 8, universe & 255)


def text(octets):
    """A source's name, 64 octets of UTF-8 that end in zeros, as text; what is no UTF-8 letter by letter as "?"."""
    raw = bytes(octets)
    end = raw.find(b"\0")
    raw = raw[:end] if end >= 0 else raw
    try:
        return raw.decode()
    except UnicodeError:
        return "".join([chr(letter) if 32 <= letter < 127 else "?" for letter in raw])


class Packet:
    """A packet. Put one into `data`, then call read(); the other attributes then tell of it, where it is DATA or, up to
    `name`, DISCOVERY. cid, name, slots: memoryviews of `data`; slots has all 512, of which `count` were sent; start:
    the start code; preview, terminated: 0, or a bit."""

    universe = priority = sequence = preview = terminated = start = count = 0

    def __init__(self):
        self.data = bytearray(LONGEST)
        view = memoryview(self.data)
        self._root = view[:16]
        self.cid, self.name, self.slots = view[22:38], view[44:108], view[HEAD:SIZE]

    def read(self, size):
        """Take the packet apart: DATA, DISCOVERY, SHORT, or WRONG. size: octets that came."""
        data = self.data
        if size < HEAD - 6:
            return SHORT
        if self._root != ROOT or data[18] | data[19] | data[20]:
            return WRONG
        if data[40] | data[41] | data[42] or data[43] != 2:  # both of ours have vector 2 in the framing layer
            return WRONG
        if data[21] == _VECTOR_EXTENDED:
            return self._read_discovery(size)
        return self._read_data(size) if data[21] == _VECTOR_DATA else WRONG

    def _read_data(self, size):
        data = self.data
        if size < HEAD:
            return SHORT
        values = data[123] << 8 | data[124]  # with the start code
        if not 1 <= values <= SIZE - HEAD + 1 or data[117] != 2 or data[118] != 0xA1:
            return WRONG
        if data[119] | data[120] | data[121] or data[122] != 1:  # the first address is 0, and each is one on
            return WRONG
        if size < HEAD - 1 + values:
            return SHORT
        if self._pdu(16) != 109 + values or self._pdu(38) != 87 + values or self._pdu(115) != 10 + values:
            return WRONG
        self.priority, self.sequence, self.start = data[108], data[111], data[125]
        self.preview = data[112] & PREVIEW
        self.terminated = data[112] & TERMINATED
        self.universe = data[113] << 8 | data[114]
        self.count = values - 1
        good = self.priority <= PRIORITY_MOST and 1 <= self.universe <= UNIVERSE_LAST
        return DATA if good else WRONG

    def _read_discovery(self, size):
        pdu = self._pdu(112)
        if pdu < 8 or pdu & 1 or pdu > LONGEST - 112:
            return WRONG
        if size < 112 + pdu:
            return SHORT
        if self._pdu(16) != pdu + 96 or self._pdu(38) != pdu + 74 or self.data[117] != 1:
            return WRONG
        self.count = (pdu - 8) // 2
        return DISCOVERY

    def listed(self, n):
        """The n-th universe of a DISCOVERY packet, from 0."""
        at = _DISCOVERY_HEAD + 2 * n
        return self.data[at] << 8 | self.data[at + 1]

    def _pdu(self, at):
        """The length in a PDU's flags and length; -1 where the flags are others."""
        both = self.data[at] << 8 | self.data[at + 1]
        return both & 0xFFF if both & 0xF000 == _FLAGS else -1
