"""A start from power, and the page that it ends on."""

from tests.chip.device import Device


def start(report, uf2, board, show, **options):
    """Power a device up -> the Device, with its loop running. What the line says from its first packet on is the light
    that was on, before the app runs and after."""
    device, named = Device(uf2, board, show, **options), (board, show)
    ready = device.start()
    report.figure("app_ms", named, ready, _said(device) if ready is None else "")
    device.run(300)
    packets = device.line.take()
    first = packets[0][0] / 1e6 if packets else None
    report.figure("first_packet_ms", named, first)
    wanted = device.was if device.was is not None else bytes(512)
    wrong = [begun / 1e6 for begun, slots in packets if slots != wanted]
    report.check("each packet is the light that was on, with no jump when the app takes over",
                 packets and not wrong, f"{len(packets)} packets, {len(wrong)} other" + (f" from {wrong[0]} ms" if wrong
                                                                                        else ""))
    report.check("no packet is torn", device.line.bad == 0, f"{device.line.bad} bad")
    return device


def rest(report, device, named):
    """Ten seconds and more of rest, in which the heap is collected; what is then free; and the picture."""
    device.run(1000)
    begun = device.ns
    device.run(10_500)
    steps(report, named, device.steps(begun), "idle")
    report.figure("heap_free_light", named, device.heap.free_if_collected())
    picture(report, device, "light")


def steps(report, named, taken, what):
    """The lengths of steps."""
    plain = sorted(step.own for step in taken)
    if not plain:
        report.figure("step_ms_worst", named, None, what)
        return
    collected = [step for step in taken if step.collecting]
    report.figure("step_ms_worst", named, plain[-1], f"[{what}: {len(plain)} steps, {len(collected)} collections]")
    report.figure("step_ms_99", named, plain[len(plain) * 99 // 100], f"[{what}]")
    if collected:
        report.figure("collect_ms", named, max(step.collecting for step in taken), f"[{what}]")


def picture(report, device, page, most=0.0):
    """What is on the panel is what the simulator shows. most: the share of bytes that may differ, on a page that shows
    what moves."""
    differs = device.differs()
    report.check(f"the panel shows the page {page} as the simulator does", differs <= most, f"{differs:.1%} differ")


def ended(report, device):
    """Nothing went wrong on the way."""
    said = bytes(device.chip.said).decode(errors="replace")
    trace = said[said.rfind("Traceback") :].split("\r\n\r\n")[0] if "Traceback" in said else "none"
    report.check("no error, no restart", trace == "none" and not device.chip.restarts,
                 f"{len(device.chip.restarts)} restarts, traceback: {trace}")
    odd = device.chip.core.head.odd
    report.check("nothing outside the address map was touched", not odd, hex(odd))


def _said(device):
    return bytes(device.chip.said[-600:]).decode(errors="replace")
