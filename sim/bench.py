"""A scripted device on a virtual clock: the whole firmware on the desktop's hardware. For tests and the simulator."""

import boards
from firmware import first_light
from firmware.app import App
from firmware.show.file_disk import BLOCK
from firmware.universe import SLOTS
from sim import demo, hands
from sim.disk import MemoryDisk, PowerCut
from sim.line import Line
from sim.panels.textlog import TextLog
from sim.play import Hand


class Bench(Hand):
    """A device that a script operates, by the functions of sim/play.py. Attributes: board, app; panel, what the eye
    sees; ports, the sim.line.Line of each DMX port of the board; line, the first of them, whose `cable` has the lamps
    that answer RDM, if any; input, the one that a feed comes in by; outs, how many of them send.

    board: the name of a module in boards/; show: "demo", a folder of show files, or None for an empty device; air: the
    sim.radio.Air around a board with Wi-Fi, None where its radio is not to be had.
    """

    def __init__(self, board="pico2_tft", show="demo", disk=None, air=None):
        self._description = boards.load(board)
        self.clock = hands.Clock()
        self.disk = disk or MemoryDisk(size=self._description.FLASH_BLOCKS * BLOCK)
        self.ports = tuple(Line(self.clock) for _ in self._description.LINES)
        for port in self.ports:
            port.rdm = port.rdm if self._description.CHIP.startswith("rp2") else ""
        self.line = self.ports[0]
        self.input = self.ports[-1]
        self.air = air if getattr(self._description, "WIFI", False) else None
        self.board = self.app = self.panel = None
        if show == "demo":
            demo.write(self.disk)
            self.line.cable = demo.cable()
        elif show is not None:
            _copy(show, self.disk)
        self.boot()

    def __enter__(self):
        return self

    def __exit__(self, *_error):
        return False

    def boot(self, restarted="power"):
        """Power up: the firmware starts with what is on the disk. restarted: as hal/contract.Power has it."""
        d = self._description
        self.disk.power_up()
        driver, self.panel = self.make_panel(d.PANEL)
        keys = tuple(d.KEYS) + (() if d.FOOT is None else ("foot",))
        self.board = hands.Board(d.NAME, d.CHIP, self.ports, driver, self.disk, self.clock, keys, restarted)
        if self.air:
            self.board.radio, self.board.air = "sim.radio", self.air
        self.outs = first_light.outs(self.disk, getattr(d, "UNIVERSES", 1))
        if hasattr(d, "UNIVERSES"):
            self.board.outs, self.board.lamps = self.outs, d.LAMPS
        kept = first_light.light(self.disk) or b""
        for n, port in enumerate(self.ports[:self.outs]):
            slots = kept[SLOTS * n:SLOTS * (n + 1)]
            if slots and port.held() is None:
                port.send(slots)
        self.app = App(self.board)
        self._text = TextLog(self.app.canvas)

    def make_panel(self, described):
        """(driver, what the eye sees) of a panel that a board describes."""
        from sim import panels

        return panels.make(described["driver"], width=described["width"], height=described["height"])

    def restart(self):
        """Restart the chip with its power on, as by its reset pin: the line goes on with what is on it."""
        for line in self.ports:
            line.restart()
        self.boot("reset")

    def cut_power(self):
        """Cut the power now; boot() restores it."""
        for line in self.ports:
            line.cut()
        if self.air:
            self.air.close()
        self.board = self.app = None

    def step(self):
        """Let one pass of the firmware's loop happen. Where the disk's power cut comes in it, the power is off
        afterwards."""
        self.clock.pass_us(self.step_ms * 1000)
        if self.app is None:
            return
        try:
            self.app.step(self.clock.ms())
        except PowerCut:
            self.cut_power()
            return
        for line in self.ports:
            line.run_until(self.clock.us())
        if self.board.power.restart_asked:
            self.restart()

    @property
    def frame(self):
        """The 512 slots of the last whole packet on the line."""
        return self.line.frame

    @property
    def frames(self):
        """The frames of all ports that send, one after the other."""
        return b"".join(port.frame for port in self.ports[:self.outs])

    @property
    def lines(self):
        """The text on the screen, top to bottom."""
        return self._text.lines()

    def screenshot(self, path):
        """Save what the panel shows as a PNG."""
        self.panel.png(path)

    def save_vcd(self, path, **options):
        """Save what the line did as a VCD file (see sim.line.Line.save_vcd)."""
        self.line.save_vcd(path, **options)


def _copy(folder, disk):
    """Copy a show's folder of the desktop to the simulated disk."""
    import pathlib

    folder = pathlib.Path(folder)
    to = "shows/" + folder.name
    disk.mkdir("shows")
    disk.mkdir(to)
    for path in sorted(folder.rglob("*")):
        name = to + "/" + path.relative_to(folder).as_posix()
        if path.is_dir():
            disk.mkdir(name)
        else:
            disk.write(name, path.read_bytes())
