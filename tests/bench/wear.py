"""Flash wear on littlefs set up as on the RP2 boards: an hour of steady dialling, a thousand looks stored.

The file system of a Pico, 40 lamps, 60 looks on it; idle moments after each look stored. Years: littlefs spreads its
writes over the free blocks, so a chip lasts (free blocks * 100,000 erases) / erases an hour. 100,000 cycles is what
data sheets of such flash chips promise (from memory).
"""

import boards
from firmware.show.shelf import Shelf
from firmware.stage.stage import Stage
from firmware.stage.state_write import StateWriter
from sim.flash import LittleDisk

SIZE = boards.load("pico_tft").FLASH_BLOCKS * 4096
LAMPS, LOOKS, CYCLES = 40, 60, 100000
STEP_MS = 100
HOURS_A_DAY = 4


def device(prog):
    """A disk with a show, its stage and its keeping."""
    disk = LittleDisk(SIZE, prog)
    show = Shelf(disk).open()
    for _ in range(LAMPS):
        show.rig.add("tint16")
    show.save_rig()
    stage = Stage(show)
    stage.step(0)
    for n in range(LOOKS):
        stage.store("Look %d" % n)
    return disk, stage, StateWriter(disk, stage)


def dialling(prog):
    """Erases in an hour of turning the knob without a pause, another lamp every ten seconds; free blocks."""
    disk, stage, kept = device(prog)
    lamps = stage.show.rig.fixtures
    before = sum(disk.flash.erases)
    for now in range(0, 3600000, STEP_MS):
        up = 0.1 if now // 2000 % 2 else -0.1
        stage.shift([lamps[now // 10000 % LAMPS]], "level", up)
        stage.step(now)
        kept.step(now)
    return sum(disk.flash.erases) - before, disk.free()[0] // 4096


def storing():
    """Erases for a thousand looks stored, each one anew in turn."""
    disk, stage, _kept = device(256)
    before = sum(disk.flash.erases)
    for n in range(1000):
        stage.dial(stage.show.rig.fixtures[n % LAMPS], level=n / 1000)
        stage.store("Look %d" % (n % LOOKS))
        while stage.show.looks.prove():
            pass
    return sum(disk.flash.erases) - before


def figures():
    """Erases an hour and for 1,000 looks; years at 100,000 cycles and four hours of dialling a day."""
    hour, free = dialling(256)
    small, _free = dialling(32)
    return {
        "erases_per_hour_dialling": hour,
        "erases_per_hour_dialling_prog_32": small,
        "erases_per_1000_looks": storing(),
        "free_blocks": free,
        "hours_at_100k": round(free * CYCLES / hour),
        "years_at_100k": round(free * CYCLES / hour / HOURS_A_DAY / 365),
        "how": f"{LAMPS} lamps, {HOURS_A_DAY} h of steady dialling a day, littlefs on {SIZE // 1024} KiB",
    }
