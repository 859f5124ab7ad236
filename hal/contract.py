"""The hardware contract: what the firmware may ask of any machine. Not imported on the device.

Each chip family (hal/, hal/rp2, hal/esp32) and the desktop (sim/) has classes with these names, methods and
arguments; tests/test_contract.py checks them against this page. Nobody inherits from these. A board's make()
returns an object with the attributes listed under Board. No method here may block for more than a millisecond
except Panel.show (one band) and those of Disk.
"""


class Clock:
    """Time since power-up, less what it was moved back by."""

    def ms(self):
        """Milliseconds: int, goes back only by `back`, does not wrap."""

    def back(self, ms):
        """From now on `ms` gives so much less. The app keeps it below 2**30 with that."""


class Line:
    """One DMX512 port (ANSI E1.11): one universe out, and a receiver where the board has one. What the feed may ask of
    it, firmware/feed_network.py has too."""

    counts: dict  # of the receiver: good, alternate, short, long, framing, lost: int, never reset
    has_input: bool
    every: bool  # False: received() hands up the newest packet. True: each packet, the oldest first, as far back as
    # the port's memory reaches (RP2: about 150 ms of a full line); what that has no room for counts as lost
    drive: bool  # set False to stop driving the line (to receive; a port used only as input)
    rdm: str  # the module that has this port's class Rdm, which whoever uses it loads and drops; "": it has none. Its
    # answers() names the module with the class Answers

    def send(self, slots):
        """Repeat these slots from the next packet on. slots: bytes-like, 24..512 (no start code);
        copied before the call returns, never torn on the wire. Errors: ValueError for another length."""

    def timing(self, hz=0, break_us=128, mark_us=16):
        """Packets a second (0: the most the length allows), break >= 92 µs and mark >= 12 µs.
        Errors: ValueError outside ANSI E1.11's transmit limits."""

    def received(self):
        """The newest whole packet of start code 0 not handed up before: memoryview of 1..512 slots,
        valid until the next call; None when there is none. Never a part of a packet."""

    def held(self):
        """The slots that were on the line when the chip last restarted without losing power: bytes, or None. make()
        sends them at once. The app asks once: a port may forget them then."""


class Rdm:
    """Requests by RDM (ANSI E1.20) between the packets of a port: made as Rdm(line, chip) by its module. There is a
    whole DMX512 packet between two requests, and send() of the line works on. Errors, when made: ValueError: the port
    cannot do it, or is silent."""

    def send(self, packet, window_us):
        """Send a request, whole from start code to checksum, after the packet that is on the line now, then leave the
        line to others for at least window_us from its end. The driver is released within 88 us, by hardware."""

    def heard(self):
        """None while that goes on; then what was heard: bytes-like, empty for silence. What was no slot makes it a
        packet that is wrong."""

    def close(self, last=None):
        """Give back what it took; the line goes on. last: a request that still goes out, whoever answers, or None. May
        take as long as two exchanges, 0.1 s."""


class Answers:
    """Answers to RDM (ANSI E1.20) on a port that listens: made as Answers(line, chip) by its module. Errors, when made:
    ValueError: the port cannot do it.

    Its setup has begin(answers, responder, encoded): answer from now on what comes in, as a firmware/wire/rdm_responder
    says; the driver is on only for that, and an answer begins 176 us to 2.0 ms after the request, whatever the loop
    does. encoded: the UID as the answer to a discovery, 24 bytes. And ident(): three bytes that other devices do not
    have."""

    setup: str  # the module that is needed once for it, to be loaded and dropped

    def close(self):
        """Answer no longer, and give back what it took; the line listens on."""


class Radio:
    """Wi-Fi with one UDP socket: made as Radio(board) by the module that `board.radio` names. No method waits for the
    network, and none raises but listen()."""

    def join(self, name, password):
        """Begin to join a Wi-Fi, and join it again whenever it was lost. password: "" for one that is open."""

    def host(self, name, password):
        """Make a Wi-Fi of its own, with WPA2, in place of joining one. name: up to 32 letters; password: 8 to 63 of
        ASCII."""

    def word(self):
        """"joined", "own Wi-Fi", or why neither, in a few words: "joining", "no such Wi-Fi", "wrong password"."""

    def address(self):
        """Its IPv4 address in the Wi-Fi that it joined or made: text, "" without one."""

    def signal(self):
        """How strong the access point comes in, dBm; None while none does, or it is one."""

    def listen(self, port, groups):
        """Take what comes to a UDP port, by unicast and for each of these multicast groups (texts), in place of what
        was listened to before. Errors: OSError: the port is not to be had."""

    def receive(self, buffer):
        """The next datagram into a buffer: how many octets; 0: none waits."""

    def send(self, data, address, port):
        """Send a datagram to an address (text); where there is no way for it, it is lost."""

    def ident(self):
        """Six bytes that no other radio has."""

    def close(self):
        """Leave the Wi-Fi, and switch the radio off."""


class Panel:
    """A screen that holds its picture, and a buffer of a few rows that framebuf.FrameBuffer draws into."""

    width: int
    height: int
    bits: int  # 1: MONO_VLSB. 4: GS4_HMSB, an index into the palette
    rows: int  # that the buffer holds: 16
    buffer: bytearray

    def begin(self):
        """Start the panel, from reset to an empty picture. make() does it once (130 ms for the ST7789), and whoever
        finds that the panel does not answer does it again. Errors, here and in all others: OSError: no answer."""

    def show(self, top, bottom, first=0):
        """Show the buffer's rows from `first` on as rows top..bottom-1 of the screen. 4-bit: any rows; 1-bit: whole
        bytes of 8 rows."""

    def palette(self, colours):
        """4-bit panels: sixteen RGB565 ints; entries changed show with the next `show` of those rows."""

    def brightness(self, percent):
        """0..100: at 0 it is dark, still holds the picture, and draws the least power it can."""


class Knob:
    """A rotary encoder."""

    def turns(self):
        """Detents turned since the last call: int, + clockwise."""


class Keys:
    """The knob's push and the keys."""

    names: tuple  # ("push", "back", "look", "black"), and "foot" where there is a jack: bit n of down() is names[n]

    def down(self):
        """Keys that are down now, debounced: int, a bit for each key."""


class Buzzer:
    """A small sounder or vibration motor; silent where the board has none."""

    def tone(self, hz, ms):
        """Start a tone and return at once."""


class Power:
    """Supply, battery, restart and watchdog."""

    restarted: str  # why the chip started: "power", "watchdog", "reset"
    crashes: int  # restarts one after the other without a calm() between them; 0 after power-up

    def battery_mv(self):
        """Battery or supply voltage in mV, or None where it is not measured."""

    def usb(self):
        """True while USB gives power."""

    def watchdog(self, ms):
        """Start the watchdog: unless fed within ms, the chip restarts."""

    def feed(self):
        """Feed the watchdog."""

    def restart(self):
        """Restart the chip. What the line sent is sent again at once; see Line.held()."""

    def calm(self):
        """The device has run well for a while: the next restart is the first again."""


class Disk:
    """A file system that a power cut can interrupt but not damage (littlefs). Paths are relative, with '/'."""

    def read(self, path):
        """The whole file: bytes. Errors: OSError(ENOENT)."""

    def write(self, path, data):
        """Create or replace a file and sync it to flash. data: bytes, or a list of them that follow each other. Errors:
        OSError(ENOSPC)."""

    def append(self, path, data):
        """Add to the end of a file and sync it. Errors: OSError(ENOSPC)."""

    def length(self, path):
        """Bytes in a file. Errors: OSError(ENOENT)."""

    def read_part(self, path, at, buffer):
        """Read from byte `at` on into a buffer: how many bytes there were. Errors: OSError(ENOENT)."""

    def reader(self, path):
        """A file to read many parts of: has seek(at), readinto(buffer) -> how many bytes there were, close(). Nothing
        else is done with the disk until it is closed. Errors: OSError(ENOENT)."""

    def rename(self, old, new):
        """Rename, replacing `new` in one atomic step."""

    def remove(self, path):
        """Delete a file or an empty folder."""

    def mkdir(self, path):
        """Make a folder; no error where it exists."""

    def list(self, path=""):
        """Names in a folder: sorted list of str; folders end in '/'. Empty where there is no such folder."""

    def free(self):
        """(bytes free, bytes in all)."""


class Board:
    """What a board's make() returns, and the simulator's. One with Wi-Fi has `radio` too: the name of the module with
    its class Radio, which whoever uses it loads and drops. One whose second port may send has `outs` too: how many do,
    1 or 2, until the next start; and `lamps`: for how many it has memory."""

    name: str  # "pico2_tft"
    chip: str  # "rp2350"
    clock: Clock
    lines: tuple  # of Line: lines[0] sends; lines[1], where there is one, is the feed's input, or sends too
    panel: Panel
    knob: Knob
    keys: Keys
    buzzer: Buzzer
    led: object  # called with 1 or 0: lights the lamp of the board, where it has one
    power: Power
    disk: Disk
