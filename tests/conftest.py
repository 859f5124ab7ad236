"""What every test leans on: the desktop's stand-ins for MicroPython modules, and no silent skips in CI."""

import gc
import os

import pytest

import sim  # noqa: F401  puts micropython and framebuf where firmware/ finds them


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item, call):
    """A user's machine may lack an outside program; CI may not: there a skip is a failure."""
    report = (yield).get_result()
    if report.skipped and os.environ.get("CI") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped in CI: {report.longrepr}"


@pytest.fixture(scope="module", autouse=True)
def only_what_is_new_is_collected():
    """The firmware collects the heap often, and here that would be all that the tests have loaded."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def browser():
    """Chromium without a window: one for all tests of pages, since there can be no second in a process."""
    from tests.page.conftest import chromium, sync_api

    with sync_api.sync_playwright() as play:
        one = play.chromium.launch(**chromium())
        yield one
        one.close()
