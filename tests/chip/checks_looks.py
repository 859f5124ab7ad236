"""Looks: stored, gone to, cut to, and the next of the running order."""

from firmware.ui.pages import times
from tests.chip.shows import FAR
from tests.ui import hand

_TAP_NS = 80_000_000  # from a key's press to its release (device.py)
_FAR = 40  # of 255: a slot that goes so far in 2 s moves within the first 50 ms
_AWAY = {"demo": "Fridge open", "full": FAR[1]}


def looks(report, device, named):
    """All of it, from the page Light."""
    go(report, device, named)
    cut(report, device, named)
    following(report, device, named)
    store(report, device, named)


def _open(device, name):
    """The page Looks, with the knob at rest on a row long enough for the look to have been read."""
    if device.app.page_name != "looks":
        device.tap("look")
    device.run(400)
    at, to = device.app.page.at, hand.rows(device).index(name)
    device.turn(to - at, 12 if abs(to - at) > 8 else 40)
    device.run(1000)


def go(report, device, named):
    """A fade to another look."""
    name = _AWAY[named[1]]
    _open(device, name)
    before = device.twin.frame
    edge = device.press()
    taken = _settle(device, edge)
    report.figure("go_ms", named, _since(device.line.change(edge), edge))
    if named[1] == "full":
        report.figure("colours_ms", named, _colours(device, edge, before))
    report.figure("tick_ms_worst", named, max(step.own for step in taken))
    _same(report, device, f"{name}, faded to")


def _settle(device, edge):
    """Let a fade end -> the steps since the one that the edge fell into."""
    while device.app.stage.left():
        device.run(100)
    device.run(1500)  # the chip began later than the simulator, which computes in no time
    return device.steps(edge - 10_000_000)


def _since(ns, edge):
    return None if ns is None else (ns - edge) / 1e6


def _same(report, device, what):
    line, twin = device.line.before(device.ns), device.twin.frame
    off = [(n, one, other) for n, (one, other) in enumerate(zip(line, twin), 1) if one != other]
    report.check(f"{what}: the line is as the simulator's", not off,
                 f"{len(off)} slots are not, the first (number, here, there) {off[:5]}")


def _colours(device, edge, before):
    """ms until each lamp that has a colour far to go has begun, by the slots that are not its level."""
    packets, after, waits = device.line.since(edge), device.twin.frame, []
    for fixture in device.app.show.rig.fixtures:
        first = fixture.address - 1
        far = [n for n in range(first + 1, fixture.last()) if abs(after[n] - before[n]) >= _FAR]
        moved = [ns for ns, slots in packets if any(slots[n] != before[n] for n in far)]
        if far:
            waits.append(_since(moved[0], edge) if moved else float("inf"))
    return max(waits) if waits else None


def cut(report, device, named):
    """A fade of no time: one packet has all of it."""
    name = device.app.show.looks.names()[0]
    _open(device, name)
    ms, detents = device.app.page._fade_ms, 0
    while ms:
        ms, detents = times.dial_fade(ms, -1), detents + 1
    device.push_turn(-detents)
    device.run(1000)
    edge = device.press()
    device.run(1500)
    packets = [(edge, device.line.before(edge)), *device.line.since(edge)]
    changes = [round((ns - edge) / 1e6, 1) for (_, one), (ns, other) in zip(packets, packets[1:]) if one != other]
    report.check("a cut lands in one packet", len(changes) == 1, f"the line changed {changes} ms after the key")
    report.figure("cut_ms", named, changes[0] if changes else None)
    _same(report, device, f"{name}, cut to")


def following(report, device, named):
    """The foot switch, some times. Where the show has no running order there is nothing to tell."""
    if named[1] != "full":
        return
    waits = []
    for _ in range(4):
        edge = device.tap("foot") - _TAP_NS
        _settle(device, edge)
        waits.append(_since(device.line.change(edge), edge))
    missing = waits.count(None)
    report.check("the foot switch goes to the next of the running order", not missing, f"{missing} of 4 did nothing")
    report.figure("next_first_ms", named, waits[0])
    report.figure("next_ms", named, None if missing else max(waits[1:]))
    _same(report, device, "next")


def store(report, device, named):
    """A look stored by hand."""
    _open(device, "+ Store new look")
    device.press()
    device.run(1000)
    edge = device.press()
    device.run(3000)
    name = device.app.show.looks.names()[-1]
    longest = max(device.steps(edge - 10_000_000, edge + 1_000_000_000), key=lambda step: step.ms)
    report.figure("store_ms", named, longest.ms, f"[{name}]")
    _open(device, name)
    share = device.differs()
    report.check("the new look is in the list, as in the simulator", share == 0, f"{name}, {share:.2%} is not as there")
    while device.app.page_name != "light":
        device.tap("back")
