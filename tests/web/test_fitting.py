"""The page and `halfstop flash` find the same board by what MicroPython says of itself."""

import json
import shutil
import subprocess

import pytest

import boards
from host import Refused, link, pack, web

# MICROPY_HW_BOARD_NAME and the chip, as in MicroPython's ports/rp2/boards and ports/esp32/boards; what board.txt says.
MACHINES = [
    ("Raspberry Pi Pico2 with RP2350", "", ["pico2_tft"]),
    ("Raspberry Pi Pico 2 W with RP2350", "", ["pico2_w_tft"]),
    ("Raspberry Pi Pico 2 W with RP2350", "pico2_tft", ["pico2_tft"]),
    ("Raspberry Pi Pico with RP2040", "", ["pico_tft", "pico_oled"]),
    ("Raspberry Pi Pico with RP2040", "pico_oled", ["pico_oled"]),
    ("Generic ESP32S3 module with ESP32S3", "", ["s3_tft"]),
]
SCRIPT = """
import { fitting } from "./flash.js";
const [machines, facts] = JSON.parse(process.argv[2]);
console.log(JSON.stringify(machines.map(([machine, board, chip]) => fitting({ machine, board, chip }, facts))));
"""


def test_the_page_and_the_command_choose_alike(tmp_path):
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed (make test wants it for the page)")
    shutil.copytree(web.ROOT / "sim/web", tmp_path / "web")
    (tmp_path / "web/package.json").write_text('{"type": "module"}')
    (tmp_path / "web/try.js").write_text(SCRIPT)
    there = [link.Who(("micropython", (1, 28, 0), machine, 0x1F06, 4096, 0, "", board))
             for machine, board, _wanted in MACHINES]
    asked = json.dumps([[[who.machine, who.board, who.chip] for who in there],
                        web.facts({name: {} for name in boards.NAMES})])
    said = subprocess.run([node, tmp_path / "web/try.js", asked], capture_output=True, text=True, check=True).stdout
    for who, page, (_machine, _board, wanted) in zip(there, json.loads(said), MACHINES, strict=True):
        assert page == wanted
        if len(wanted) == 1:
            chosen = pack.choose(who, None).NAME
            assert [chosen] == wanted
        else:
            with pytest.raises(Refused, match=" or ".join(wanted)):
                pack.choose(who, None)
