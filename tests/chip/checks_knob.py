"""From the knob to the wire: the last edge of a detent, to the break of the first packet that carries it."""

import random

from tests.chip.checks_start import steps
from tests.ui import hand

TURNED_MS = 20_000
_DETENT_MS, _RUN = 50, 10  # 20 detents a second, ten one way and ten back
_AFTER_MS, _MOST_MS = 70, 1000  # a detent's packet has left by then; or is waited for so long


def single(report, device, named, count):
    """Detents at random moments on the page Light."""
    begun = device.ns
    found, lost, _ = latencies(device, count, random.Random(15))
    report.check(f"each of {count} detents is on the wire", not lost, f"{lost} lost")
    report.figure("knob_ms_worst", named, found[-1] if found else None, f"[{len(found)} detents]")
    report.figure("knob_ms_median", named, found[len(found) // 2] if found else None)
    steps(report, named, device.steps(begun), "single detents")
    report.check("the line is as the simulator's", device.line.before(device.ns) == device.twin.frame,
                 "after the same detents")


def latencies(device, count, rng, skip=False):
    """(the sorted ms of detents that changed the line, how many did not though the simulator's did, how many changed
    nothing there either). Half a detent's way up, half down."""
    found, lost, idle = [], 0, 0
    for n in range(count):
        device.run(rng.uniform(75, 115))
        before = device.twin.frame
        edge = device.edges_of_turn(-1 if n % 2 else 1)[0]
        device.chip.run(_AFTER_MS)
        device.twin.turn(-1 if n % 2 else 1, _AFTER_MS)
        while device.line.change(edge) is None and device.twin.frame != before and device.ns < edge + _MOST_MS * 1e6:
            device.run(50)
        changed = device.line.change(edge)
        if device.twin.frame == before:
            idle += 1
        elif changed is None:
            lost += 1
        else:
            found.append((changed - edge) / 1e6)
    return sorted(found), lost, idle


def turning(report, device, named):
    """Turning without a pause, to and fro."""
    twin = device.twin
    frames = [twin.frame]
    for _ in range(_RUN):
        twin.turn(1, _DETENT_MS)
        twin.run(0.05)
        frames.append(twin.frame)
    twin.turn(-_RUN, _DETENT_MS)
    if len(set(frames)) != len(frames):
        report.check("ten detents are ten different frames", False, len(set(frames)))
        return
    begun, edges = device.ns, []
    for n in range(TURNED_MS // _DETENT_MS // _RUN):
        edges += device.edges_of_turn(-_RUN if n % 2 else _RUN, _DETENT_MS * 250_000)
        device.chip.run(_DETENT_MS * _RUN)
    end = device.ns
    device.run(300)
    waits = _carried(device, begun, edges, frames)
    report.check(f"each of {len(edges)} detents of steady turning is on the wire", len(waits) == len(edges), len(waits))
    waits.sort()
    median = waits and f"[median {waits[len(waits) // 2]:.1f}]"
    report.figure("turning_ms_worst", named, waits[-1] if waits else None, median)
    steps(report, named, device.steps(begun, end), "steady turning")


def _carried(device, begun, edges, frames):
    """ms from each detent to the packet by which it is on the wire. After n detents the line shows frame n, counted to
    and fro."""
    there = [min(n % (2 * _RUN), 2 * _RUN - n % (2 * _RUN)) for n in range(len(edges) + 1)]
    count, waits = 0, []
    for at, slots in device.line.since(begun):
        shown = next((n for n in range(count, min(count + _RUN, len(edges)) + 1) if frames[there[n]] == slots), count)
        waits += [(at - edges[n]) / 1e6 for n in range(count, shown)]
        count = shown
    return waits


def dialling(report, device, named, count=20):
    """Some detents on what else dials light: white, colour, all lamps, the master, a crossfade by hand."""
    rng = random.Random(20)
    for what, begin in (("white", _white), ("all lamps", _all), ("master", _master), ("crossfade", _crossfade)):
        _to_light(device)
        begin(device)
        device.run(1000)
        if what == "crossfade":
            device.turn(5)  # from its end nothing moves in one of the two ways
        differs = device.differs()
        found, lost, idle = latencies(device, count, rng)
        report.check(f"{what}: detents are on the wire", found and not lost,
                     f"{len(found)} are, {lost} lost, {idle} change no slot; {differs:.1%} of the panel was not as in "
                     "the simulator before")
        if found:
            report.figure("dialling_ms_worst", named, found[-1], f"[{what}: median {found[len(found) // 2]:.1f}]")
    _to_light(device)
    hand.lamp(device, device.app.show.rig.fixtures[0].name)


def _to_light(device):
    while device.app.page_name != "light":
        device.tap("back")
    device.run(300)


def _white(device):
    lamps = device.app.show.rig.fixtures
    hand.lamp(device, next(f.name for f in lamps if f.personality.has("cct")))
    while device.app.page.what != "cct":
        device.press()


def _all(device):
    hand.lamp(device, "All lamps")
    while device.app.page.what != "level":
        device.press()


def _master(device):
    hand.lamp(device, "Master")
    device.turn(-4)


def _crossfade(device):
    device.tap("look")
    hand.to(device, device.app.show.looks.names()[1])
    device.hold()
    device.run(500)
    hand.pick(device, "Crossfade by hand")
