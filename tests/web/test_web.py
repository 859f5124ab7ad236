"""The page with the firmware in a worker: what a visitor sees, what is kept, and frames byte for byte."""

import gzip
import json

from sim import Bench
from tests.page.test_page import eventually, go_to_evening, screen, slot

# The work of a minute: dialling, a look with its fade of 8 s in the middle and at its end, master and blackout.
SCRIPT = """
run 1
frame
turn 5
frame
push_turn 1
turn -7
run 0.5
frame
tap look
turn 2
press
run 3
frame
run 6
frame
tap black
run 0.3
frame
tap black
run 1
frame
"""
ASK = """async ([board, text]) => {
  const { ask } = await import("./link.js");
  return ask("run", board, text);
}"""


def frames(board):
    """What the Bench has on its line for the same script, on CPython and with the real panel's driver."""
    bench, found = Bench(board, "demo"), []
    for words in (line.split() for line in SCRIPT.split("\n") if line):
        if words[0] == "frame":
            found.append(bench.frame.hex())
        else:
            number = float if words[0] == "run" else int
            getattr(bench, words[0])(*[number(word) if word[-1].isdigit() else word for word in words[1:]])
    return found


def test_frames_are_the_bench_s_byte_for_byte(page):
    found = json.loads(page.evaluate(ASK, ["pico2_tft", SCRIPT]))
    wanted = frames("pico2_tft")
    assert len(wanted) == 7 and len(set(wanted)) >= 5
    assert found == wanted


def test_a_visit_fetches_no_more_than_two_megabytes(folder):
    """Compressed, as web servers send files; the goal of the bench `page`. Firmware for boards comes later."""
    data = [path.read_bytes() for path in folder.iterdir() if path.is_file()]
    assert sum(len(gzip.compress(one)) for one in data) <= 2_000_000


def test_the_whole_page_works_without_a_server(page, tmp_path):
    """Knob, line, set, meter, feed, VCD and script: each from the worker."""
    assert page.title() == "Halfstop simulator"
    assert page.text_content("#machine option") == "MicroPython"
    eventually(page, lambda: "Key" in screen(page), "the text of the screen")
    page.focus("#knob")
    go_to_evening(page)
    lit = page.evaluate(
        "new Set(document.querySelector('#panel').getContext('2d').getImageData(0, 0, 320, 240).data).size")
    assert lit > 4
    eventually(page, lambda: "lux" in page.text_content("#light-meter"), "a meter's reading")
    assert page.locator("#limits tbody tr").count() == 6 and page.locator("#limits .outside").count() == 0
    assert page.locator("#feed option").all_text_contents()[:2] == ["nothing", "a desk that holds"]
    page.select_option("#feed", "still")
    eventually(page, lambda: "packets" in page.text_content("#feed-text"), "packets that come in")
    with page.expect_download() as download:
        page.click("#vcd")
    assert download.value.suggested_filename == "line.vcd"
    assert "$timescale" in download.value.path().read_text()
    page.click("#workings summary")
    with page.expect_download() as download:
        page.click("#script")
    assert "with Bench(board='pico2_tft', show='demo') as b:" in download.value.path().read_text()
    page.set_input_files("#feed-file", {"name": "x", "mimeType": "text/plain", "buffer": b"0 zz"})
    eventually(page, lambda: "That file is no feed: line 1" in page.text_content("#notice"), "what is wrong with it")


def test_what_was_done_is_kept_between_visits(page, visitor, address):
    go_to_evening(page)
    page.keyboard.press("Backspace", delay=100)
    page.wait_for_timeout(500)
    if not screen(page).startswith("Light"):
        page.keyboard.press("Space", delay=100)
    eventually(page, lambda: screen(page).startswith("Light"), "the Light page")
    page.hover("#knob")
    page.mouse.wheel(0, 300)
    eventually(page, lambda: slot(page, 1) < 128, "the key darker")
    eventually(page, lambda: "fade" not in screen(page), "the end of the fade")
    page.wait_for_timeout(2500)  # the state is written within 600 ms, and looked for every second
    level = slot(page, 1)
    page.close()
    again = visitor.new_page()
    again.goto(address + "?passes=1")
    again.wait_for_selector(".slot", timeout=60_000)
    eventually(again, lambda: slot(again, 1) == level, "the light that was on")
    again.click("#workings summary")
    again.click("#fresh")
    eventually(again, lambda: slot(again, 1) == 128, "the demo show's light, after starting afresh")
