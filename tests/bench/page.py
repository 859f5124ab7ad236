"""The simulator's page: how smooth and how quick it is in headless Chromium, and how fast the firmware runs alone."""

import time

from playwright.sync_api import sync_playwright

from sim.play import STEP_MS
from sim.session import OnPython, Session
from sim.vm_session import OnVm, executable
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
    whole: all of them, set: the lit picture. speedup_*: simulated seconds a second, mid-fade, without a page."""
    figures = {"n": 100}
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
    figures["speedup_cpython"] = speedup(OnPython)
    figures["speedup_vm"] = speedup(OnVm) if executable() else None
    if not executable():
        figures["note"] = "speedup_vm: the MicroPython unix VM is not installed"
    return figures


def percentile(values, share):
    """The value that `share` per cent of them do not exceed, one decimal."""
    return round(sorted(values)[max(0, -(-len(values) * share // 100) - 1)], 1)


def speedup(machine, seconds=60):
    """Simulated seconds a second: the demo show in a fade of a minute, the panel drawn ten times a second."""
    session = Session(machine("pico2_tft", "demo"))
    try:
        session.step(50)
        for name in ("look", "push"):
            session.key(name, True)
            session.step(20)
            session.key(name, False)
            session.step(20)
        session.turn(3)
        session.step(20)
        session.key("push", True)  # the fourth look: a fade of 60 s
        session.step(20)
        session.key("push", False)
        begun = time.perf_counter()
        for _ in range(seconds * 1000 // STEP_MS // 25):
            session.step(25)
        return round(seconds / (time.perf_counter() - begun), 1)
    finally:
        session.machine.close()
