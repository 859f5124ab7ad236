"""The demo show "Night kitchen": six invented lamps of different kinds and four looks, the first of them on.

Written by the firmware's own code. `python -m sim.demo FOLDER` writes it as files.
"""

import sys

from firmware.show.personality_builtin import personality
from firmware.show.show import Show
from firmware.stage.stage import Stage
from firmware.stage.state_write import StateWriter
from sim.rdm_lamps import Cable, Lamp

_SAVED_MS = 5000  # a change is saved by then

LAMPS = (
    # name, personality, and what it is in the scene (the simulator's set puts them there)
    ("Key", "tint16"),  # Moorhen 200: a big soft source, camera left
    ("Fill", "white"),  # Moorhen 60: through a frame, camera right
    ("Window", "rgbww"),  # Lanternfly tube, outside the window
    ("Back", "full16"),  # Gannet 90: hue lamp on the shelf
    ("Practical", "dim"),  # a table lamp on a dimmer, tungsten
    ("Backdrop", "rgbw"),  # Lanternfly strip along the floor
)

LOOKS = (
    ("Evening", 3, {
        "Key": {"level": 0.5, "cct": 3200}, "Fill": {"level": 0.125, "cct": 3600},
        "Window": {"level": 0.35, "cct": 9000}, "Back": {"level": 0.25, "cct": 4300},
        "Practical": {"level": 0.7}, "Backdrop": {"level": 0.2, "cct": 4000}}),
    ("Moonlight", 8, {
        "Key": {"level": 0.06, "cct": 5600, "duv": 0.003}, "Fill": {"level": 0.03, "cct": 6500},
        "Window": {"level": 0.8, "cct": 8000, "hue": 230, "sat": 0.35}, "Back": {"level": 0.3, "hue": 225, "sat": 0.6},
        "Practical": {"level": 0}, "Backdrop": {"level": 0.1, "hue": 230, "sat": 0.7}}),
    ("Fridge open", 1, {
        "Key": {"level": 0.25, "cct": 6000}, "Fill": {"level": 0.06, "cct": 5000},
        "Window": {"level": 0.3, "cct": 9000}, "Back": {"level": 0.1, "cct": 6500},
        "Practical": {"level": 0.25}, "Backdrop": {"level": 0.05, "cct": 5000}}),
    ("Sunrise", 60, {
        "Key": {"level": 0.8, "cct": 4300}, "Fill": {"level": 0.35, "cct": 5000},
        "Window": {"level": 1, "cct": 3000, "hue": 35, "sat": 0.4}, "Back": {"level": 0.6, "hue": 25, "sat": 0.3},
        "Practical": {"level": 0.1}, "Backdrop": {"level": 0.5, "hue": 30, "sat": 0.5}}),
)


# The lamps on the cable as they come out of the van, with faults of their own; the table lamp's dimmer knows no RDM.
# Number, model, personalities, the present one from 0, address, label, faults.
ON_THE_LINE = (
    (0x10, "Moorhen 200", ("tint", "tint16"), 1, 1, "Key", {}),
    (0x11, "Moorhen 60", ("white", "white16"), 0, 7, "Fill", {"slow": True}),  # wants time for each answer
    (0x2000, "Lanternfly tube", ("rgb", "rgbww"), 0, 9, "Window", {}),  # in another personality
    (0x300, "Gannet 90", ("full", "full16"), 1, 101, "", {"deaf": True}),  # at another address; ignores a mute
    (0x2001, "Lanternfly strip", ("rgbw", "rgbww"), 0, 30, "Backdrop", {"misses": 0.05}),  # a bad plug
)


def cable():
    """A cable with the demo show's lamps on it: a sim.rdm_lamps.Cable."""
    return Cable([Lamp(0x7FF500000000 + number, model, [_mode(kind) for kind in kinds], address, mode, label, faults)
                  for number, model, kinds, mode, address, label, faults in ON_THE_LINE])


def _mode(kind):
    p = personality(kind)
    return p.name, tuple(channel[:3] for channel in p.channels)


def write(disk, folder="shows/demo"):
    """Write the demo show to a disk (hal/contract.Disk)."""
    disk.mkdir("shows")
    disk.mkdir(folder)
    show = Show(disk, folder)
    for name, kind in LAMPS:
        show.rig.add(kind, name)
    show.save_rig()
    stage = Stage(show)
    for name, seconds, lights in LOOKS:
        for lamp, asked in lights.items():
            stage.dial(lamp, hue=0, sat=0)
            stage.dial(lamp, **asked)
        stage.step(0)
        stage.store(name, seconds=seconds)
    _leave_on(disk, stage, LOOKS[0][0])


def _leave_on(disk, stage, look):
    """Leave the device as if it had been unplugged with that look on: at power-up it comes back to it."""
    writer = StateWriter(disk, stage)
    stage.go(look, 0)
    stage.step(0)
    writer.step(0)
    writer.flush(_SAVED_MS)


if __name__ == "__main__":
    import sim  # noqa: F401
    from sim.disk import FolderDisk

    write(FolderDisk(sys.argv[1]))
