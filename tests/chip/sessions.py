"""What is done with which device: sessions that know nothing of each other, two at a time."""

import concurrent.futures
import multiprocessing
import traceback

from tests.chip import (
    checks_feed,
    checks_keep,
    checks_knob,
    checks_looks,
    checks_pages,
    checks_rdm,
    checks_script,
    checks_start,
    checks_two,
    shows,
    whole,
)
from tests.chip.device import Device
from tests.chip.report import Report

BOARDS = ("pico_tft", "pico_oled")
WORKERS = 2


def figures(report, uf2, board, show, detents):
    """All that one device is measured by."""
    named = board, show
    device = checks_start.start(report, uf2, board, show)
    checks_start.rest(report, device, named)
    if show != "empty":
        checks_knob.single(report, device, named, detents)
        checks_knob.turning(report, device, named)
        checks_knob.dialling(report, device, named)
        checks_looks.looks(report, device, named)
    checks_start.ended(report, device)
    if show != "empty":
        device = Device(uf2, board, show)
        device.start()
        device.run(1000)
        checks_pages.tour(report, device, named)
        checks_start.ended(report, device)


def short(report, uf2, board, show, detents):
    """A start, and the knob."""
    device = checks_start.start(report, uf2, board, show)
    checks_start.rest(report, device, (board, show))
    if show != "empty":
        checks_knob.single(report, device, (board, show), detents)
    checks_start.ended(report, device)


def parts(report, uf2):
    """The chip's parts, without the app."""
    checks_script.follow(report, uf2)
    for name in BOARDS:
        whole.panel(report, uf2, name)
    whole.port(report, uf2)
    whole.names(report, uf2)
    whole.cuts(report, uf2)


def measured(long):
    """[(label, function, arguments after report and uf2)] of the sessions in which devices are measured, the longest
    first. long: all devices in full, not two of them."""
    deep = [(board, show) for board in BOARDS for show in ("full", "demo")]
    if not long:
        deep = [("pico_tft", "full"), ("pico_oled", "demo")]
    jobs = [(f"{board} {show}", figures, (board, show, 200)) for board, show in deep]
    return jobs + [(f"{board} {show}", short, (board, show, 40)) for board in BOARDS
                   for show in ("full", "demo", "empty") if (board, show) not in deep]


def planned(long):
    """As measured(), with the sessions that hold what must be right."""
    kept = [("flash", checks_keep.flash, ()), ("cuts", checks_keep.cuts, (24 if long else 6,)),
            ("feed", checks_feed.feed, (long,)), ("rdm", checks_rdm.answers, (long,)),
            ("two", checks_two.two, ()),
            ("parts", parts, ()), ("watchdog", checks_keep.watchdog, ())]
    return measured(long) + kept


def run(uf2, jobs):
    """Run them -> a Report of all together."""
    report = Report()
    for board in BOARDS:
        shows.firmware(board)  # once, and not again in each process
    with concurrent.futures.ProcessPoolExecutor(WORKERS, multiprocessing.get_context("fork")) as pool:
        for future in [pool.submit(_one, label, function, uf2, arguments) for label, function, arguments in jobs]:
            report.add(future.result())
    return report


def _one(label, function, uf2, arguments):
    report = Report(f"[{label}] ")
    try:
        function(report, uf2, *arguments)
    except Exception:  # one session that breaks off must not hide what the others find
        report.check("the session came to its end", False, traceback.format_exc())
    return report
