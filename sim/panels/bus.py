"""Make-believe pins and buses with machine.Pin's, machine.SPI's, machine.I2C's and machine.PWM's calls."""


class Pin:
    """An output. changed: called with the level after each change."""

    def __init__(self, level=1, changed=None):
        self.level = level
        self.changed = changed

    def __call__(self, level):
        if level != self.level:
            self.level = level
            if self.changed:
                self.changed(level)


class Spi:
    """Writes go to every chip whose select pin is low: chip.receive(data, bit), bit the level of D/C."""

    def __init__(self):
        self.chips = []

    def attach(self, chip, cs, dc):
        """Hang a chip on the bus."""
        self.chips.append((chip, cs, dc))

    def write(self, data):
        """machine.SPI.write."""
        for chip, cs, dc in self.chips:
            if cs.level == 0:
                chip.receive(data, dc.level)


class I2c:
    """Writes go to the chip at that address: chip.packet(data)."""

    def __init__(self):
        self.chips = {}

    def attach(self, chip, address):
        """Hang a chip on the bus. address: 7 bits."""
        self.chips[address] = chip

    def writeto(self, address, data):
        """machine.I2C.writeto. Errors: OSError(ENODEV) where no chip answers."""
        if address not in self.chips:
            raise OSError(19, f"no chip at I2C address {address:#x}")
        self.chips[address].packet(data)


class Pwm:
    """A pin's pulse width."""

    def __init__(self):
        self.duty = 0

    def duty_u16(self, duty):
        """machine.PWM.duty_u16: 0..65535."""
        self.duty = duty
