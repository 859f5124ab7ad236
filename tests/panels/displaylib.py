"""The CircuitPython display libraries on our make-believe buses: they judge the emulators from outside."""

import displayio
import fourwire
import i2cdisplaybus


class _Lock:
    """What those libraries ask of a bus: try_lock is False where it is taken."""

    taken = False

    def try_lock(self):
        free, self.taken = not self.taken, True
        return free

    def unlock(self):
        self.taken = False

    def deinit(self):
        """Nothing to give back."""


class _I2c(_Lock):
    def __init__(self, chip):
        self._chip = chip

    def writeto(self, _address, buffer):
        self._chip.packet(buffer)


class _Spi(_Lock):
    def __init__(self, chip, pins):
        self._chip, self._pins = chip, pins

    def configure(self, **_speed):
        """Any speed will do."""

    def write(self, data):
        assert self._pins["cs"].value is False
        self._chip.receive(data, int(self._pins["dc"].value))


class _Pin:
    """digitalio.DigitalInOut."""

    value = True

    def switch_to_output(self, value=False, **_drive):
        self.value = value

    def deinit(self):
        """Nothing to give back."""


def i2c(chip):
    """A display bus of the libraries with this chip at 3Ch."""
    displayio.release_displays()
    return i2cdisplaybus.I2CDisplayBus(_I2c(chip), device_address=0x3C)


def spi(chip, monkeypatch):
    """A display bus of the libraries with this chip on SPI."""
    displayio.release_displays()
    pins = {"cs": _Pin(), "dc": _Pin()}
    monkeypatch.setattr(fourwire.digitalio, "DigitalInOut", pins.__getitem__)
    return fourwire.FourWire(_Spi(chip, pins), command="dc", chip_select="cs")


def show(display, rows, colours):
    """Put a picture on a display. rows: lists of indices into colours (0xRRGGBB)."""
    bitmap = displayio.Bitmap(len(rows[0]), len(rows), len(colours))
    for y, row in enumerate(rows):
        for x, index in enumerate(row):
            if index:
                bitmap[x, y] = index
    palette = displayio.Palette(len(colours))
    for index, colour in enumerate(colours):
        palette[index] = colour
    group = displayio.Group()
    group.append(displayio.TileGrid(bitmap, pixel_shader=palette))
    display.root_group = group
    assert display.refresh()
