"""The simulator's page: how smooth and how quick it is in headless Chromium, and how fast the firmware runs alone."""

import os
import time

from playwright.sync_api import sync_playwright

from sim.session import OnPython, Session
from sim.vm_session import OnVm, executable
from tests.bench import page_web
from tests.page.conftest import chromium, simulator

# A detent of the wheel on the knob; then when the panel's first and last changed rows were drawn, and the set.
# A drawing counts at the browser's next frame, when it can be seen. Two draws 60 ms apart are not of one turn.
LATENCY = """async (turns) => {
  const seen = { first: [], last: [], set: [] };
  const frame = () => new Promise((done) => requestAnimationFrame(() => done(performance.now())));
  const wait = (ms) => new Promise((done) => setTimeout(done, ms));
  let begun = 0, panel = [], set = [];
  document.querySelector('#panel').addEventListener('painted', async () => panel.push(await frame() - begun));
  document.querySelector('#picture').addEventListener('painted', async () => set.push(await frame() - begun));
  for (let i = 0; i < turns; i++) {
    await wait(250 + 17 * Math.random());
    [panel, set, begun] = [[], [], performance.now()];
    const deltaY = i % 20 < 10 ? -100 : 100;
    document.querySelector('#knob').dispatchEvent(new WheelEvent('wheel', { deltaY, cancelable: true }));
    await wait(200);
    if (panel.length) seen.first.push(panel[0]);
    if (panel.length) seen.last.push(panel.filter((at, k) => k === 0 || at - panel[k - 1] < 60).at(-1));
    if (set.length) seen.set.push(set[0]);
  }
  return seen;
}"""

# Frames of the browser in which the panel, and the slots, were drawn anew, while the knob keeps turning.
FRAMES = """async (seconds) => {
  const count = { panel: 0, slots: 0 };
  let panel = false, slots = '';
  document.querySelector('#panel').addEventListener('painted', () => (panel = true));
  const knob = document.querySelector('#knob');
  const cells = [1, 2].map((slot) => document.querySelector(`[data-slot="${slot}"] b`));
  let i = 0;
  const turner = setInterval(() => {
    const deltaY = i++ % 80 < 40 ? -100 : 100;
    knob.dispatchEvent(new WheelEvent('wheel', { deltaY, cancelable: true }));
  }, 25);
  const begun = performance.now();
  while (performance.now() - begun < seconds * 1000) {
    await new Promise(requestAnimationFrame);
    count.panel += panel;
    panel = false;
    const now = cells.map((cell) => cell.textContent).join();
    count.slots += now !== slots;
    slots = now;
  }
  clearInterval(turner);
  const took = (performance.now() - begun) / 1000;
  return { panel: count.panel / took, slots: count.slots / took };
}"""


def figures():
    """panel_fps: browser frames a second in which the panel changed while the knob turns 40 times a second. knob_to_*:
    from a wheel event to the browser frame with the changed pixels, 95th of a hundred; pixel: the first of the panel,
    whole: all of them, set: the lit picture. speedup_*: simulated seconds a second without a page, of a minute of work
    and of a fade. load: the machine's load average as it began; above the cores, the figures tell of it, not of us."""
    figures = {"n": 100, "load": round(os.getloadavg()[0], 1), "cores": os.cpu_count()}
    with simulator() as address, sync_playwright() as play:
        browser = play.chromium.launch(**chromium())
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(address)
        page.wait_for_selector(".slot")
        for _ in range(120):  # the tracer has the set ready, as a user's soon has
            if page.get_attribute("#picture", "data-pass") == "32":
                break
            page.wait_for_timeout(500)
        page.keyboard.press("l", delay=100)
        page.keyboard.press("Space", delay=100)
        page.wait_for_timeout(4000)
        page.keyboard.press("Backspace", delay=100)
        page.wait_for_timeout(500)
        if not page.text_content("#screen-text").startswith("Light"):
            page.keyboard.press("Space", delay=100)
            page.wait_for_timeout(500)
        seen = page.evaluate(LATENCY, 100)
        frames = page.evaluate(FRAMES, 5)
        browser.close()
    figures["panel_fps"] = round(frames["panel"], 1)
    figures["slots_fps"] = round(frames["slots"], 1)
    for name, times in (("pixel", seen["first"]), ("whole", seen["last"]), ("set", seen["set"])):
        figures[f"knob_to_{name}_p95_ms"] = percentile(times, 95)
        figures[f"knob_to_{name}_p50_ms"] = percentile(times, 50)
    figures["knob_answered"] = len(seen["first"])
    figures["speedup_cpython"], figures["speedup_cpython_fading"] = speedup(OnPython)
    figures["speedup_vm"], figures["speedup_vm_fading"] = speedup(OnVm) if executable() else (None, None)
    figures.update(page_web.figures())
    if not executable():
        figures["note"] = "speedup_vm: the MicroPython unix VM is not installed"
    return figures


def percentile(values, share):
    """The value that `share` per cent of them do not exceed, one decimal."""
    return round(sorted(values)[max(0, -(-len(values) * share // 100) - 1)], 1)


def speedup(machine):
    """Simulated seconds a second, without a page, the demo show: (a minute of work, mid-fade all the time)."""
    session = Session(machine("pico2_tft", "demo"))
    try:
        run(session, 1)
        work = timed(session, minute_of_work)
        recall(session, 3)  # the last look: a fade of 60 s
        before = session.machine.frame
        fading = timed(session, lambda session: run(session, 50))
        assert session.machine.frame != before, "nothing faded"
        return work, fading
    finally:
        session.machine.close()


def timed(session, act):
    """Simulated seconds a second of an action."""
    before, begun = session.ms, time.perf_counter()
    act(session)
    return round((session.ms - before) / 1000 / (time.perf_counter() - begun), 1)


def minute_of_work(session):
    """Two looks with their fades of 3 and 8 s, three lamps dialled by ten detents each, and the pauses between."""
    for place in (0, 1):
        recall(session, place)
        run(session, 14)
    tap(session, "back")
    tap(session, "push")
    for _ in range(3):
        for _ in range(10):
            session.turn(1)
            run(session, 0.08)
        session.key("push", True)
        session.turn(1)
        run(session, 0.1)
        session.key("push", False)
        run(session, 9)


def recall(session, place):
    """Go to the look at a place of the list, 0 the first."""
    tap(session, "look")
    session.turn(-20)
    run(session, 0.1)
    session.turn(place)
    run(session, 0.1)
    tap(session, "push")


def tap(session, name):
    """Press a key and let it go."""
    for down in (True, False):
        session.key(name, down)
        run(session, 0.1)


def run(session, seconds):
    """Let time pass, looked at ten times a second as a test would."""
    for _ in range(round(seconds * 10)):
        session.step(100 // session.step_ms)
