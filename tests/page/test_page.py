"""The page in a browser: what a user sees and does, from the pixels of the panel to the pixels of the set."""

import asyncio
import queue
import re
import subprocess
import sys
import threading

import pytest
from aiohttp import web

from boards import pico2_tft
from sim.live import Live
from sim.server import application

MEAN = """() => {
  const canvas = document.querySelector('#picture');
  const bytes = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
  return bytes.reduce((sum, value) => sum + value, 0) / bytes.length;
}"""


def eventually(page, question, what, seconds=8):
    """Poll a question in Python until it is true (the page's policy forbids the browser's own polling)."""
    for _ in range(int(seconds * 20)):
        if question():
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"not within {seconds} s: {what}")


def at_rest(page, value):
    """The value once it has not changed for 0.3 s: on a busy computer the last detents may still be on their way."""
    seen = []

    def asked():
        page.wait_for_timeout(300)
        seen.append(value())
        return len(seen) > 1 and seen[-1] == seen[-2]

    eventually(page, asked, "a value at rest")
    return seen[-1]


def slot(page, number):
    return int(page.inner_text(f'[data-slot="{number}"] b'))


def screen(page):
    return page.text_content("#screen-text")


def go_to_evening(page):
    """Call up the first look by its key and the knob."""
    page.keyboard.press("l", delay=100)
    eventually(page, lambda: "Looks" in screen(page), "the Looks page")
    page.focus("#knob")
    page.keyboard.press("Space", delay=100)
    eventually(page, lambda: slot(page, 1) == 128, "Evening at half key", 12)


def pictured(page, at_pass=0):
    eventually(
        page, lambda: int(page.get_attribute("#picture", "data-pass") or -1) >= at_pass, f"pass {at_pass}", 60
    )


def test_loads_without_complaint_and_shows_the_device(page):
    assert page.title() == "Halfstop simulator"
    eventually(page, lambda: "Key" in screen(page), "the text of the screen")
    size = page.locator("#panel").evaluate("e => [e.width, e.height, e.clientWidth]")
    assert size == [320, 240, 640]  # twice: whole dots
    lit = page.evaluate(
        "new Set(document.querySelector('#panel').getContext('2d').getImageData(0, 0, 320, 240).data).size"
    )
    assert lit > 4
    assert page.locator("#keys button").count() == len(pico2_tft.KEYS)  # with the foot switch; the push is the knob's
    assert page.locator(".fixture").count() == 6
    pictured(page)


def test_a_wheel_turn_changes_the_slot_and_the_set(page):
    pictured(page)
    before = page.evaluate(MEAN)
    page.hover("#knob")
    for _ in range(7):  # ten notches at once: a stop each, up from the darkest
        page.mouse.wheel(0, -1000)
    eventually(page, lambda: slot(page, 1) > 4, "the key's level on the line")
    eventually(page, lambda: page.evaluate(MEAN) > before + 0.2, "a lighter set")
    level = at_rest(page, lambda: slot(page, 1) * 256 + slot(page, 2))
    page.mouse.wheel(0, 100)
    eventually(page, lambda: slot(page, 1) * 256 + slot(page, 2) < level, "one detent back")


def test_keys_by_keyboard_and_by_mouse(page):
    go_to_evening(page)
    page.click('[data-key="black"]', delay=100)
    eventually(page, lambda: slot(page, 1) == 0, "blackout by mouse")
    page.keyboard.press("b", delay=100)
    eventually(page, lambda: slot(page, 1) == 128, "light again by keyboard")
    page.focus('[data-key="black"]')
    page.keyboard.press("Enter", delay=100)
    eventually(page, lambda: slot(page, 1) == 0, "blackout by Enter on the key")


def test_dragging_and_arrows_turn(page):
    def turned():
        return int(page.get_attribute("#knob", "aria-valuenow"))

    knob, begun = page.locator("#knob").bounding_box(), turned()
    x, y = knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2
    page.mouse.move(x, y - 40)
    page.mouse.down()
    page.mouse.move(x + 40, y, steps=12)
    page.mouse.up()
    assert turned() == begun + 5  # a quarter of twenty detents
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Shift+ArrowUp")
    assert turned() == begun + 9
    assert "Store" not in screen(page)  # a drag is no push


def test_a_hold_stores(page):
    go_to_evening(page)
    for title in ("Halfstop", "Light"):  # from the looks home, and from there to the light
        page.keyboard.press("Backspace", delay=100)
        eventually(page, lambda title=title: screen(page).startswith(title), title)
    hold = {"x": 60, "y": 60}
    page.click("#knob", delay=1000, position=hold)
    eventually(page, lambda: "Store new look" in screen(page), "what can be stored, after a hold")
    page.click("#knob", position=hold)
    eventually(page, lambda: "Store as" in screen(page), "the Store page")
    page.click("#knob", position=hold)
    eventually(page, lambda: "Look" in screen(page) and "Store as" not in screen(page), "stored")
    page.keyboard.press("l", delay=100)
    eventually(page, lambda: re.search(r"Look \d", screen(page)), "the new look in the list")


def test_the_plug(page):
    go_to_evening(page)
    page.wait_for_timeout(1500)
    page.click("#plug")
    eventually(page, lambda: "silent" in page.inner_text("#line-sum"), "silence on the line")
    dark = """document.querySelector('#panel').getContext('2d').getImageData(0, 0, 320, 240).data
        .reduce((most, value, i) => i % 4 < 3 ? Math.max(most, value) : most, 0)"""
    eventually(page, lambda: page.evaluate(dark) == 0, "a dark panel")
    page.click("#plug")
    eventually(page, lambda: page.evaluate(dark) > 0, "the panel again")
    eventually(page, lambda: "packets a second" in page.inner_text("#line-sum"), "the line again")


def test_the_line_is_measured(page):
    def table():
        return page.inner_text("#limits tbody").splitlines()

    eventually(page, lambda: len(table()) == 6 and all("inside" in row for row in table()), "all inside the standard")
    assert re.search(r"4[0-4]\.\d\d packets a second, 512 slots", page.inner_text("#line-sum"))
    with page.expect_download() as download:
        page.click("#vcd")
    assert "$timescale" in download.value.path().read_text()


def test_time(page):
    def clock():
        minutes, seconds = page.inner_text("#clock").split(":")
        return int(minutes) * 60 + float(seconds)

    page.click('[data-speed="0"]')
    page.wait_for_timeout(400)
    stood = clock()
    page.wait_for_timeout(500)
    assert clock() == stood
    page.click("#step")
    page.wait_for_timeout(400)
    assert clock() - stood < 0.11  # a packet is 23 ms, the clock shows tenths
    for _ in range(6):
        page.click("#step")
    page.wait_for_timeout(400)
    assert 0.09 < clock() - stood < 0.31
    page.click('[data-speed="10"]')
    before = clock()
    page.wait_for_timeout(1000)
    assert clock() - before > 5


def test_the_recorded_script_replays(page, tmp_path):
    go_to_evening(page)
    page.keyboard.press("b", delay=100)
    page.wait_for_timeout(300)
    page.click("#workings summary")
    with page.expect_download() as download:
        page.click("#script")
    page.click("#workings summary")
    download.value.save_as(tmp_path / "session.py")
    done = subprocess.run([sys.executable, tmp_path / "session.py"], capture_output=True, text=True, check=False,
                          timeout=60, env={"PYTHONPATH": "."})  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "the same frame" in done.stdout


def test_a_second_tab_is_told(page, browser, address):
    other = browser.new_page()
    other.goto(address)
    other.wait_for_selector("#onlooker")
    assert "Another tab holds the knob" in other.inner_text("#onlooker")
    level = slot(page, 1)
    other.keyboard.press("ArrowUp")
    other.wait_for_timeout(300)
    assert slot(page, 1) == level
    other.click("#take")
    page.wait_for_selector("#onlooker")
    other.close()
    page.wait_for_selector("#onlooker", state="hidden")  # the knob comes back


def test_meter_and_camera(page):
    go_to_evening(page)
    page.wait_for_timeout(500)
    mark = page.inner_text("#light-meter")
    assert "lux" in mark
    assert "fc" in mark
    page.click("#picture", position={"x": 30, "y": 30})
    eventually(page, lambda: page.inner_text("#where") == "Surface", "the meter on a wall")
    eventually(page, lambda: page.inner_text("#light-meter") != mark, "another reading there")
    page.click("#to-mark")
    eventually(page, lambda: page.inner_text("#light-meter") == mark, "the reading at the mark again")
    page.click("#use-stop")
    assert page.inner_text("#stop-text") in mark


def test_touch_on_a_phone(browser, address):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    phone = context.new_page()
    phone.goto(address)
    phone.wait_for_selector(".slot")
    if phone.is_visible("#take"):
        phone.tap("#take")
        phone.wait_for_selector("#onlooker", state="hidden")
    before = phone.evaluate("document.body.dataset.started")
    phone.tap("#workings summary")
    phone.tap("#fresh")
    eventually(phone, lambda: phone.evaluate("document.body.dataset.started") != before, "a fresh device")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    phone.tap('[data-key="look"]')
    eventually(phone, lambda: "Looks" in phone.text_content("#screen-text"), "the Looks page by touch")
    context.close()


def test_an_error_is_shown_and_the_line_goes_on(browser):
    """A server in this process, so that the firmware can be made to fail: the traceback shows, packets go on."""
    live, stop, where = Live("pico2_tft", "demo"), threading.Event(), queue.Queue()
    server = threading.Thread(target=lambda: asyncio.run(serve_until(live, stop, where.put)))
    server.start()
    page = browser.new_page()
    try:
        page.goto(where.get(timeout=10) + "?passes=1")
        page.wait_for_selector(".slot")

        def fail(_now):
            raise ZeroDivisionError("made by a test")

        live.session.machine.bench.app.step = fail
        page.wait_for_selector("#trouble")
        assert "made by a test" in page.inner_text("#traceback")
        eventually(page, lambda: "packets a second" in page.inner_text("#line-sum"), "the line")
        page.wait_for_timeout(500)  # the firmware has started again
        page.click("#seen")
        page.wait_for_selector("#trouble", state="hidden")
    finally:
        page.close()
        stop.set()
        server.join()


async def serve_until(live, stop, told):
    """Serve a live session on a free port until stopped."""
    runner = web.AppRunner(application(live))
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    told(f"http://127.0.0.1:{site._server.sockets[0].getsockname()[1]}/")
    time = asyncio.create_task(live.run())
    while not stop.is_set():
        await asyncio.sleep(0.05)
    time.cancel()
    await runner.cleanup()


@pytest.mark.parametrize("name", ["h1", "#board", "#knob", "#panel", "#picture", "#slots", "#wave", "#keys", "#stop"])
def test_everything_has_a_name(page, name):
    """Each part says to assistive technology what it is (WAI-ARIA 1.2: accessible name)."""
    said = page.locator(name).evaluate(
        "e => e.ariaLabel || e.getAttribute('aria-labelledby') || e.closest('label')?.textContent || e.textContent"
    )
    assert said.strip()
