"""The self-test page: each test passes on a sound device, fails on a broken one, and says what to check."""

import pytest

from firmware.show.shelf import Shelf
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import paragraph
from firmware.ui.frame.screen import REFUSED, SAVED
from host import status
from sim import Bench
from tests.keep.test_crashes import Fails
from tests.ui.hand import ended


@pytest.fixture(params=["pico2_tft", "pico_oled"])
def bench(request):
    with Bench(request.param) as b:
        b.run(0.3)
        b.app.open("selftest")
        b.run(0.2)
        yield b


@pytest.fixture
def tft():
    with Bench("pico2_tft") as b:
        b.run(0.3)
        b.app.open("selftest")
        b.ports[1].drive = False
        b.run(0.2)
        yield b


def found(b, item):
    return b.app.page.row(item)[1]


def run(b, item):
    """Choose a row by the knob and push."""
    page = b.app.page
    b.turn(page.items.index(item) - page.at)
    b.press()
    b.run(0.1)


def test_the_knob_must_turn_both_ways(bench):
    assert found(bench, "Knob") == "turn right"
    bench.turn(2)
    assert found(bench, "Knob") == "now left"
    bench.turn(-1)
    assert found(bench, "Knob") == "ok"


def test_a_knob_with_a_and_b_swapped_says_so(bench):
    """Told to turn right, the hand does, and the device counts to the left."""
    bench.turn(-1)
    assert found(bench, "Knob") == "went left?"


def test_each_key_counts_once_and_does_nothing_the_first_time(tft):
    b = tft
    for name, left in (("back", "push look black"), ("look", "push black"), ("push", "black")):
        b.tap(name)
        b.run(0.1)
        assert type(b.app.page).__module__ == "firmware.ui.pages.settings.selftest", name
        assert found(b, "Keys") == "press " + left
    b.tap("black")
    assert found(b, "Keys") == "ok" and b.app.stage.blackout, "blackout works here too"
    b.tap("back")
    assert type(b.app.page).__module__ == "firmware.ui.pages.settings.settings"


def test_a_cable_from_out_to_in_closes_the_loop(tft):
    b = tft
    b.tap("push")
    b.app.stage.dial("Key", level=0.5)
    b.run(0.2)
    run(b, "Line")
    assert found(b, "Line") == "listening"
    before = b.frame
    for _ in range(5):
        b.ports[1].receive(b.frame)
        b.run(0.03)
    assert found(b, "Line") == "ok" and b.frame == before, "the light stays as it is"


@pytest.mark.parametrize("heard", [None, bytes(512), bytes(20) + b"\xff" * 100])
def test_no_cable_or_another_desk_fails(tft, heard):
    b = tft
    b.tap("push")
    b.app.stage.dial("Key", level=0.5)
    b.run(0.2)
    run(b, "Line")
    for _ in range(30):
        if heard:
            b.ports[1].receive(heard)
        b.run(0.1)
    assert found(b, "Line") == "failed"
    assert any("Cable from out to in?" in line for line in b.lines)


@pytest.mark.parametrize(("swapped", "said"), [(False, "ok"), (True, "swapped?")])
@pytest.mark.parametrize("level", [0.0, 0.5])
def test_a_swapped_pair_is_told_from_silence(tft, swapped, said, level):
    """The wire itself, edge by edge; a swapped pair turns each level over (EIA-485-A: the sign of A - B is the bit)."""
    b = tft
    b.tap("push")
    b.app.stage.dial("Key", level=level)
    b.run(0.2)
    run(b, "Line")
    heard, paces = b.ports[0].edges(), []
    last = max((at for at, _ in heard), default=0)
    for _ in range(60):
        b.run(0.05)
        paces.append(b.ports[0]._hz)
        edges = [(at, high ^ swapped) for at, high in b.ports[0].edges() if at > last]
        last = edges[-1][0] if edges else last
        b.ports[1].receive_edges(edges)
    assert found(b, "Line") == said
    assert paces[0] == 30 and paces[-1] == 0, "only while it listens is the line slower"


def test_a_board_with_one_port_says_so():
    with Bench("pico_oled") as b:
        b.ports[0].has_input = False
        b.run(0.3)
        b.app.open("selftest")
        b.tap("push")
        run(b, "Line")
        assert found(b, "Line") == "no input"


def test_storage_writes_reads_and_cleans_up(bench):
    bench.tap("push")
    before = bench.disk.list()
    run(bench, "Storage")
    assert found(bench, "Storage").startswith("ok")
    assert bench.disk.list() == before


def test_a_full_or_lying_flash_fails(bench, monkeypatch):
    bench.tap("push")
    monkeypatch.setattr(bench.board.disk, "read", lambda _path: b"something else")
    run(bench, "Storage")
    assert found(bench, "Storage") == "failed"

    def full(_path, _data):
        raise OSError(28)

    monkeypatch.setattr(bench.board.disk, "write", full)
    bench.press()  # puts the advice of the small panel away
    run(bench, "Storage")
    assert found(bench, "Storage") == "failed"


@pytest.mark.parametrize("mv, usb, said", [
    (None, True, "no meter"), (5010, True, "5.01 V USB"), (4100, True, "4.10 V failed"), (3700, False, "3.70 V"),
    (5900, True, "5.90 V failed")])
def test_supply(tft, monkeypatch, mv, usb, said):
    b = tft
    b.tap("push")
    monkeypatch.setattr(b.board.power, "battery_mv", lambda: mv)
    monkeypatch.setattr(b.board.power, "usb", lambda: usb)
    run(b, "Supply")
    assert found(b, "Supply") == said


def test_the_pattern_and_the_way_back(bench):
    b = bench
    b.tap("push")
    b.tap("back")
    run(b, "Panel")
    assert b.app.page.pattern and len(b.lines) <= 4
    b.tap("back")
    assert not b.app.page.pattern and type(b.app.page).__module__ == "firmware.ui.pages.settings.selftest"
    b.tap("back")
    assert type(b.app.page).__module__ == "firmware.ui.pages.settings.settings"


def test_advice_fits_its_lines():
    """No advice is cut: it wraps into what the page gives it on each panel."""
    for board, lines in (("pico2_tft", 2), ("pico_oled", 5)):
        with Bench(board) as b:
            from firmware.ui.pages.settings import selftest

            for words in selftest._ADVICE.values():
                assert ended(paragraph.paragraph(b.app.canvas, words, 0, fonts.SMALL, -1, 99)) <= lines, (board, words)


def test_each_finding_is_heard_and_what_failed_is_logged(bench, monkeypatch):
    """High for good, low for bad, for who cannot see the panel; the words are for `halfstop status`."""
    b = bench
    heard = b.board.buzzer.tones

    def last():
        return heard[-1][-2:]

    b.turn(-1)
    assert last() == REFUSED, "told to turn right, the knob goes left"
    b.turn(1)
    assert last() == SAVED
    b.tap("push")
    assert last() == SAVED
    run(b, "Storage")
    assert last() == SAVED and not b.app.log.entries()
    b.press()  # puts the advice of the small panel away
    monkeypatch.setattr(b.board.disk, "read", lambda _path: b"something else")
    run(b, "Storage")
    assert last() == REFUSED
    monkeypatch.undo()
    assert "Self-test, storage: failed" in " ".join(status.of_disk(b.disk, Shelf(b.disk)))


def test_a_missing_panel_is_found_heard_and_told(bench):
    """A panel that gives no answer on its bus: the board's lamp blinks, the low tone, and the log in words."""
    b = bench
    b.tap("push")
    Fails(b.board.panel).dead = True
    b.turn(1)
    b.run(3)
    assert b.app.screen.blind
    run(b, "Panel")
    assert found(b, "Panel") == "failed" and b.board.buzzer.tones[-1][-2:] == REFUSED
    lamp = set()
    for _ in range(40):
        b.run(0.05)
        lamp.add(b.board.led.on)
    assert lamp == {False, True}
    told = " ".join(status.of_disk(b.disk, Shelf(b.disk)))
    assert "The panel does not answer" in told and "Self-test, panel: failed" in told
