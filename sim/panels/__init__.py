"""Panels on the desktop: emulators that turn the bytes of the real drivers into pixels.

    panel, screen = make("st7789", width=320, height=240)   # the driver, and what the eye sees

`panel` is the real driver of hal/panels on a make-believe bus; `screen` has `rgb()`, `png(path)`, `width`,
`height`, `bytes` (sent so far), `light` (0..100) and `touched()` (rows changed since last asked).
"""

def make(driver, **options):
    """A driver wired to its emulator, the module of that name beside this one. driver: st7789, sh1106, ssd1306.
    -> (panel, screen).

    options: width, height, and what the emulator's module takes. Errors: ValueError for another driver.
    """
    import importlib
    import pathlib

    there = sorted(path.stem for path in pathlib.Path(__file__).parent.glob("*.py") if "def wired(" in path.read_text())
    if driver not in there:
        raise ValueError(f"no emulator for panel driver {driver!r}: there are {', '.join(there)}")
    return importlib.import_module("sim.panels." + driver).wired(**options)
