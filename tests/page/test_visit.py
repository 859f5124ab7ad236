"""What a visitor is told: three steps to try, why the set is dark, help for a finger; and what goes in time."""

import pytest

from tests.page.test_page import eventually, go_to_evening, screen, slot

WIDE = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


def visit(context, address):
    """Open the page, take the knob and begin afresh with the demo show."""
    page = context.new_page()
    page.goto(address + "?passes=1")
    page.wait_for_selector("#board option", state="attached")
    if page.is_visible("#take"):
        page.click("#take")
        page.wait_for_selector("#onlooker", state="hidden")
    afresh(page, board="pico2_tft", show="demo")
    return page


def afresh(page, **chosen):
    """Choose in the lists at the top, one after the other; each starts another session."""
    for name, value in chosen.items():
        before = page.evaluate("document.body.dataset.started")
        page.evaluate("([id, value]) => { const list = document.querySelector(id); list.value = value;"
                      " list.dispatchEvent(new Event('change')); }", ["#" + name, value])
        eventually(page, lambda before=before: page.evaluate("document.body.dataset.started") != before, value)
    page.wait_for_timeout(300)


@pytest.fixture(scope="module")
def visitor(browser):
    context = browser.new_context(viewport=WIDE)
    yield context
    context.close()


@pytest.fixture(scope="module")
def kept(visitor, address):
    """One tab for the tests of this module."""
    return visit(visitor, address)


@pytest.fixture
def page(kept):
    """The tab, with a device that was started afresh; the knob has the keyboard."""
    afresh(kept, show="demo")
    kept.focus("#knob")
    return kept


def done(page):
    return page.locator("#first li.done").count()


def test_three_steps_to_try_that_go_away(page):
    assert page.is_visible("#first") and page.locator("#first li").count() == 3 and done(page) == 0
    page.keyboard.press("ArrowUp")
    eventually(page, lambda: done(page) == 1, "the first step")
    page.keyboard.press("l", delay=100)
    page.keyboard.press("ArrowUp")
    assert done(page) == 1
    page.keyboard.press("Space", delay=100)
    eventually(page, lambda: done(page) == 2, "the second step")
    page.keyboard.press("b", delay=100)
    eventually(page, lambda: done(page) == 3, "the third step")
    page.wait_for_selector("#first", state="hidden")
    page.reload()
    page.wait_for_selector(".slot")
    assert not page.is_visible("#first")  # for good


def test_the_steps_can_be_sent_away(page):
    page.evaluate("localStorage.clear()")
    page.reload()
    page.wait_for_selector("#first")
    afresh(page, show="")
    assert not page.is_visible("#first")  # an empty device has nothing to try them on
    afresh(page, show="demo")
    page.click("#first button")
    afresh(page, show="demo")
    assert not page.is_visible("#first")


def test_a_dark_set_says_why(page):
    page.wait_for_timeout(700)
    assert page.text_content("#dark") == ""
    page.keyboard.press("b", delay=100)
    eventually(page, lambda: "all lamps are out" in page.text_content("#dark"), "why, in a blackout")
    page.keyboard.press("b", delay=100)
    eventually(page, lambda: page.text_content("#dark") == "", "light again")
    afresh(page, show="")
    eventually(page, lambda: "the device has no lamp yet" in page.text_content("#dark"), "why, on an empty device")
    page.focus("#knob")
    page.keyboard.press("Space", delay=100)  # as it says
    eventually(page, lambda: "Kind and slots" in screen(page), "which kind of lamp")
    page.keyboard.press("Space", delay=100)
    eventually(page, lambda: page.locator(".fixture").count() == 1, "the first lamp")
    eventually(page, lambda: page.locator(".fixture").count() == 1, "the first lamp")
    eventually(page, lambda: "no lamp yet" not in page.text_content("#dark"), "another reason, or light")


def test_messages_go_with_what_they_are_about(page):
    for name, value in (("show", "demo"), ("board", "pico_oled")):
        page.click("#trim")
        eventually(page, lambda: "trims handed over" in page.text_content("#trimmed"), "what was measured")
        page.set_input_files("#feed-file", {"name": "x", "mimeType": "text/plain", "buffer": b"0 zz"})
        page.wait_for_selector("#notice")
        afresh(page, **{name: value})
        assert page.text_content("#trimmed") == "" and not page.is_visible("#notice")


def test_the_light_is_seen_again_after_a_change_of_board(page):
    """The new device's light is the same as before, to the last digit: it must be sent all the same."""
    lit = ("[...document.querySelectorAll('.fixture i')]"
           ".filter(dot => !['', 'rgb(0, 0, 0)'].includes(dot.style.background))")
    eventually(page, lambda: page.evaluate(lit + ".length") == 6, "six lamps")
    for board in ("pico_oled", "pico2_tft"):
        afresh(page, board=board)
        eventually(page, lambda: page.evaluate(lit + ".length") == 6, "six lamps again")


def test_script_and_counters_are_folded_away(page):
    assert not page.is_visible("#script") and not page.is_visible("#fresh")
    page.click("#workings summary")
    assert page.is_visible("#script") and "inputs since the start" in page.inner_text("#script-text")


def test_a_screen_reader_has_the_text_on_micropython_too(page):
    if page.locator("#machine option").count() == 1:
        pytest.skip("the MicroPython unix VM is not installed")
    try:
        afresh(page, machine="MicroPython")
        eventually(page, lambda: "Key" in screen(page), "the text of the screen")
        go_to_evening(page)
        eventually(page, lambda: "heap" in page.text_content("#vitals"), "its heap, in the fold")
    finally:
        afresh(page, machine="CPython")


@pytest.mark.parametrize(("size", "dots"), [(WIDE, 1.25), (PHONE, 1.5)])
def test_the_panel_s_pixels_are_whole_dots_of_the_screen(browser, address, size, dots):
    """Each pixel of the device takes the same whole number of the screen's dots, so all are of one size."""
    context = browser.new_context(viewport=size, device_scale_factor=dots)
    page = context.new_page()
    page.goto(address + "?passes=1")
    page.wait_for_selector(".slot")
    across, down = page.evaluate("(() => { const e = document.querySelector('#panel'), box = e.getBoundingClientRect();"
                                 " return [box.width / e.width, box.height / e.height]; })()")
    context.close()
    assert across == pytest.approx(down, abs=1e-3)
    assert across * dots == pytest.approx(max(round(across * dots), 1), abs=1e-3)  # layout counts in 64ths


def test_push_and_turn_by_a_finger(browser, address):
    """As the help says: keep a finger still until the knob goes down, then drag around."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    page = visit(context, address)
    assert "Push and turn" in page.inner_text("#knob-help") and "Space" not in page.inner_text("#knob-help")
    assert "L" not in page.inner_text("#first").split()
    page.evaluate("document.querySelector('#knob').scrollIntoView({block: 'center'})")
    knob = page.locator("#knob").bounding_box()
    x, y = knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2
    finger = context.new_cdp_session(page)

    def touch(kind, *points):
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]})

    for _ in range(3):  # on a busy computer the finger may rest for so long that it is a hold
        eventually(page, lambda: "−1.0 stops" in screen(page), "the key")
        touch("touchStart", (x, y - 40))
        eventually(page, lambda: "down" in (page.get_attribute("#knob", "class") or ""), "the knob down")
        touch("touchMove", (x + 14, y - 37))  # some 20 degrees: a detent, to the next lamp
        touch("touchEnd")
        page.wait_for_timeout(1000)
        if "−3.0 stops" in screen(page):
            break
        afresh(page, show="demo")
    eventually(page, lambda: "−3.0 stops" in screen(page), "the fill")
    assert slot(page, 1) == 128  # the key kept its level
    context.close()
