"""Blocks of flash, by littlefs itself: for the firmware, for 200 looks of 64 lamps, for 2,000 takes of 12; minutes of
capture that are left on a Pico beside all three; and the time to store a look.

The looks are the dearest there are: 64 lamps, each with another light and none of its values 0. The takes have a new
light every eighth. Store: the flash's share in ms by data-sheet times, counted on littlefs; with the processor's share
only where the whole device runs on an emulated chip (`store_ms_200`).
"""

import random

import boards
from firmware.show import look_pack, slate
from firmware.show.file_disk import BLOCK
from firmware.show.fixture_light import LIMITS
from firmware.show.show import Show
from firmware.stage.stage import Stage
from host import pack
from sim.flash import LittleDisk
from tests.bench import capture
from tests.vm import tick

ERASE_MS, PAGE_MS, PAGE = 45, 0.4, 256  # typical of such chips: a sector erased, a page programmed (from memory)
_LAMPS, _LOOKS, _STORES = 64, 200, 400
_ROOM = 4096  # blocks: room for anything
_CAPTURE_RESERVE = 8  # blocks that a recording leaves free (stage/capture_recorder.py)


def figures():
    """See above. Times: median and worst of 400 looks that are stored over others, at every fill of the last block."""
    looks, disk, show = looks_200()
    takes = takes_2000()
    found = {name: {"firmware": firmware(name), "looks_200": looks, "takes_2000": takes} for name in boards.NAMES}
    median, worst, cleared = store_times(disk, show)
    left = boards.load("pico_tft").FLASH_BLOCKS - 2 - sum(found["pico_tft"].values()) - _CAPTURE_RESERVE
    rate = slow_rate()
    return {
        "blocks": found,
        "minutes_left_pico": max(0, round(left * BLOCK / rate / 60, 1)),
        "store_ms_200": None,
        "store_flash_ms_median": median, "store_flash_ms_worst": worst, "clear_flash_ms_worst": cleared,
        "looks_200_after_400_stores": in_use(disk) - 2,
        "bytes_a_look": len(look_pack.pack(random_lights(random.Random(1)))),
        "note": "store_ms_200: no emulated chip at hand. minutes_left_pico: in the blocks that all of `blocks` and the "
                "reserve leave, at the rate of the bench `capture`'s slow scene",
    }


def firmware(name):
    """Blocks of what `host flash` copies to a board."""
    disk = LittleDisk(_ROOM * BLOCK)
    board = boards.load(name)
    for path, data in pack.build(board, pack.ARCH[board.CHIP]).items():
        if "/" in path:
            disk.mkdir(path.rpartition("/")[0])
        disk.write(path, data)
    return in_use(disk) - 2  # without the root's own


def in_use(disk):
    """Blocks that are in use."""
    free, total = disk.free()
    return (total - free) // BLOCK


def random_lights(rng):
    """Light of 64 lamps, all different."""
    return {uid: [*(rng.randint(*limit) for limit in LIMITS), {}] for uid in range(1, _LAMPS + 1)}


def looks_200():
    """(blocks, disk, show): 200 looks stored one after the other on a Pico's flash."""
    disk = LittleDisk(boards.load("pico_tft").FLASH_BLOCKS * BLOCK)
    disk.mkdir("shows/a")
    show, rng = Show(disk, "shows/a"), random.Random(1)
    before = in_use(disk)
    for n in range(_LOOKS):
        show.looks.store(f"Look number {n}", random_lights(rng))
    return in_use(disk) - before, disk, show


def store_times(disk, show):
    """(median, worst) ms of flash for a look stored over another, and the worst of a step that clears the log."""
    rng, stores, steps = random.Random(2), [], []
    for _ in range(_STORES):
        name = f"Look number {rng.randrange(_LOOKS)}"
        lights = random_lights(rng)
        stores.append(flash_ms(disk, lambda name=name, lights=lights: show.looks.store(name, lights, None)))
        more = True
        while more:
            found = []
            steps.append(flash_ms(disk, lambda found=found: found.append(show.looks.prove())))
            more = found[0]
    stores.sort()
    return round(stores[len(stores) // 2], 1), round(stores[-1], 1), round(max(steps), 1)


def flash_ms(disk, act):
    """Ms that the flash is busy with what act() does."""
    erases, programmed = sum(disk.flash.erases), disk.flash.programmed
    act()
    pages = (disk.flash.programmed - programmed) / PAGE
    return (sum(disk.flash.erases) - erases) * ERASE_MS + pages * PAGE_MS


def takes_2000():
    """Blocks of the slate."""
    disk = LittleDisk(_ROOM * BLOCK)
    disk.mkdir("shows/a")
    show = Show(disk, "shows/a")
    for n in range(12):
        show.rig.add(tick.KINDS[n % len(tick.KINDS)], f"Lamp {n}")
    stage, found = Stage(show), slate.Slate(show)
    before = in_use(disk)
    for n in range(slate.MOST):
        if n % 8 == 0:
            for k, lamp in enumerate(show.rig.fixtures):
                stage.dial(lamp, level=(n + k) % 1000 / 1000)
        entry = [0] * 18
        entry[slate.SCENE], entry[slate.TAKE_NO], entry[slate.TEXT] = n // 8 + 1, n % 8 + 1, "Printed" if n % 3 else ""
        found.log(entry, slate.pack_lamps(stage))
    return in_use(disk) - before


def slow_rate():
    """Bytes a second of a captured slow scene."""
    packets = capture.slow(tick.KINDS, 10)
    size, _mean, _decode = capture.on_the_vm(packets)
    return size / (packets[-1][0] / 1000)
