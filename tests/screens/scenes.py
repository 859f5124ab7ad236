"""Scripted runs that end on the screens kept as golden: every page on both panels.

`python -m tests.screens.scenes FOLDER` writes them as PNG. Each starts wiped, on the virtual clock, with the demo
show's look Moonlight on.
"""

import sys
from pathlib import Path

from firmware.show.file_disk import RESERVE
from sim import Bench
from tests.feed.test_bench import Desk
from tests.screens.network import networked
from tests.screens.two import two

PANELS = {"tft": "pico2_tft", "oled": "pico_oled"}


def opened(module, *args):
    """A scene that opens a page."""
    def scene(b):
        b.app.open(module, *args)
    return scene


def gestures(*steps):
    """A scene of gestures: ("turn", 3), ("press",), ("open", module, *args), ("lamp", n): open the lamp's page."""
    def scene(b):
        for verb, *args in steps:
            if verb == "open":
                b.app.open(*args)
            elif verb == "lamp":
                b.app.open(args[1] if len(args) > 1 else "lamp", b.app.show.rig.fixtures[args[0]], *args[2:])
            elif verb == "kit":
                b.app.settings[args[0]] = args[1]
                b.app.screen.touch()
            elif verb == "stage":
                getattr(b.app.stage, args[0])(*args[1:])
            else:
                getattr(b, verb)(*args)
    return scene


FAULT = "looks/3.json is damaged: set aside, the last good copy is used"
NAMED = ("open", "name", "lamp", "Fill", ("light",), None)



def kit_end(b):
    """The end of the kit's list, on a disk of which so much is free whatever the files' sizes."""
    b.board.disk.free = lambda: (700 * 1024 + RESERVE, 1024 * 1024)
    b.app.open("settings")
    b.turn(40)


def in_order(*steps):
    """A scene of the running order with all looks in it."""
    def scene(b):
        b.app.open("run")
        for name in b.app.show.looks.names():
            b.app.machines.running_order().order.add(b.app.show.looks.number(name))
        b.app.open("run")
        gestures(*steps)(b)
    return scene


def fed(*steps, seconds=3):
    """A scene with a desk's packets coming in from the start."""
    def scene(b):
        b.app.open("feed")
        if b.app.input is None:  # a board with one port listens on it
            b.turn(b.app.page.items.index("The port") - b.app.page.at)
            b.press()
            b.app.open("feed")
        desk = Desk(b)
        desk.slots = bytes(n * 3 & 255 for n in range(512))
        desk.run(seconds)
        for step in steps:
            gestures(step)(b)
            desk.run(0.5)
    return scene


def captured(*steps):
    """A scene with one capture of three seconds."""
    def scene(b):
        fed(("open", "capture_record"), ("press",), seconds=1)(b)
        b.run(3)
        gestures(("press",), ("run", 1), ("open", "captures"), *steps)(b)
    return scene


SCENES = {
    "light-level": gestures(("turn", -3)),
    "light-thirds": gestures(("kit", "level", 1), ("turn", -3)),
    "light-white": gestures(("push_turn", 1), ("press",), ("turn", -9)),
    "light-all": gestures(("push_turn", -1), ("press",)),
    "light-hue": gestures(("push_turn", 3), ("press",), ("press",), ("press",), ("press",), ("turn", 12)),
    "light-out": gestures(("push_turn", 4)),
    "light-master": gestures(("push_turn", 9), ("turn", -28)),
    "light-fade": gestures(("stage", "go", "Evening", 8), ("run", 3)),
    "light-black": gestures(("tap", "black")),
    "light-locked": gestures(("hold", "back"), ("run", 5)),
    "light-picked": gestures(("open", "light_pick"), ("press",), ("turn", 2), ("press",), ("tap", "back")),
    "light-acts": gestures(("hold",)),
    "light-solo": gestures(("push_turn", 1), ("hold", "black")),
    "light-feed": fed(("open", "light"), ("push_turn", 1)),
    "light-feed-turn": fed(("open", "light"), ("push_turn", 1), ("turn", -2)),
    "light-black-feed": fed(("open", "light"), ("push_turn", 1), ("tap", "black")),
    "pick": gestures(("open", "light_pick"), ("press",), ("turn", 2), ("press",)),
    "store": opened("look_store"),
    "name": gestures(NAMED),
    "name-word": gestures(NAMED, ("turn", 3)),
    "name-letters": gestures(NAMED, ("turn", 3), ("press",), ("push_turn", 1), ("turn", 2)),
    "looks": gestures(("tap", "look"), ("turn", 1)),
    "looks-going": gestures(("tap", "look"), ("turn", 3), ("run", 0.5), ("push_turn", -5), ("press",), ("run", 2)),
    "looks-changed": gestures(("turn", -3), ("tap", "look"), ("run", 0.6)),
    "look": gestures(("tap", "look"), ("turn", 1), ("hold",)),
    "look-cross": gestures(("tap", "look"), ("turn", 3), ("hold",), ("press",), ("turn", 18)),
    "rig": opened("rig"),
    "lamp": gestures(("lamp", 2)),
    "lamp-address": gestures(("lamp", 2), ("turn", 1), ("press",), ("turn", 22)),
    "lamp-clash": gestures(("lamp", 1), ("turn", 1), ("press",), ("turn", 9), ("press",)),
    "kind": gestures(("open", "lamp_kind", None), ("turn", 4)),
    "sheet": gestures(("open", "sheet"), ("press",), ("turn", 2), ("press",)),
    "slots": gestures(("open", "slots"), ("turn", 10)),
    "two-rig": two("rig", turn=6),
    "two-lamp": two("lamp", "far", turn=1, steps=(("press",), ("turn", 3))),
    "two-sheet": two("sheet", turn=6),
    "two-slots": two("slots", turn=612),
    "two-feed": two("feed"),
    "two-kit": two("settings", turn=14, steps=(("press",), ("turn", -1), ("press",))),
    "home": gestures(("turn", -2), ("tap", "back")),
    "home-undo": gestures(("tap", "look"), ("hold",), ("turn", 7), ("press",), ("tap", "back")),
    "kit": opened("settings"),
    "kit-dialled": gestures(("open", "settings"), ("turn", 1), ("press",), ("turn", -35)),
    "kit-end": kit_end,
    "network": networked("network"),
    "network-cable": networked("network", on=0),
    "network-end": networked("network", turn=10),
    "network-own": networked("network", turn=8, own=1),
    "feed-network": networked("feed", turn=1),
    "feed-both": networked("feed", cable=True, turn=1),
    "network-senders": networked("network_sources", "network"),
    "network-name": networked("network_text", "wifi", "Wi-Fi name", ""),
    "shows": opened("shows"),
    "show": opened("show", "demo"),
    "faults": lambda b: (b.app.log.add(754000, FAULT, "looks"), b.app.open("faults")),
    "about": opened("about"),
    "storage": opened("storage"),
    "selftest": opened("selftest"),
    "groups": opened("groups"),
    "rdm-searching": gestures(("open", "rdm"), ("run", 1)),
    "rdm": gestures(("open", "rdm"), ("run", 14), ("press",), ("run", 8), ("turn", 6), ("run", 4)),
    "rdm-lamp": gestures(("open", "rdm_lamp", 0x7FF500000011, "Fill", ("rig",)), ("run", 12)),
    "run-empty": opened("run"),
    "run": in_order(),
    "run-going": in_order(("press",), ("run", 1)),
    "run-step": in_order(("turn", 1), ("hold",)),
    "run-add": opened("run_add"),
    "effects": opened("effects"),
    "effects-on": gestures(("open", "effects"), ("push_turn", 5), ("press",), ("run", 1)),
    "effect": gestures(("open", "effects"), ("push_turn", 5), ("press",), ("hold",)),
    "effect-flash": opened("effects_flash_limit"),
    "meter": opened("meter"),
    "meter-lamp": gestures(("lamp", 0, "meter_lamp")),
    "meter-trim": gestures(("lamp", 0, "meter_trim", False)),
    "load": opened("load"),
    "slate": opened("slate"),
    "slate-taken": gestures(("open", "slate"), ("press",)),
    "slate-back": gestures(("open", "slate"), ("press",), ("turn", 2), ("press",)),
    "feed-none": opened("feed"),
    "feed": fed(),
    "feed-counts": fed(("open", "feed_counts")),
    "feed-lost": fed(("open", "feed_lost")),
    "captures": captured(),
    "capture": captured(("turn", 1), ("hold",)),
    "record": fed(("open", "capture_record")),
}


def bench(panel):
    """A device on that panel, with the light of a look on."""
    b = Bench(board=PANELS[panel])
    b.app.stage.go("Moonlight", 0)
    b.run(0.3)
    return b


def drawn(name, panel):
    """The device at the end of a scene."""
    b = bench(panel)
    SCENES[name](b)
    b.run(0.6)
    return b


def main(folder):
    """Write all scenes into a folder."""
    for name in SCENES:
        for panel in PANELS:
            drawn(name, panel).screenshot(Path(folder) / f"{name}-{panel}.png")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else ".")
