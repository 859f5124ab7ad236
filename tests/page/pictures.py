"""python -m tests.page.pictures: the README's pictures, from the simulator as it is now, into docs/.

Not a check: it makes what people see first. Look at them before they are committed.
"""

import pathlib
import sys

from playwright.sync_api import sync_playwright

from tests.page.conftest import chromium, simulator

DOCS = pathlib.Path(__file__).parent.parent.parent / "docs"


def main():
    """docs/simulator.png: the whole page with the demo show."""
    DOCS.mkdir(exist_ok=True)
    with simulator() as address, sync_playwright() as play:
        browser = play.chromium.launch(**chromium())
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(address)
        page.wait_for_selector(".slot")
        page.click("#first button")  # the steps for a first visit
        while page.get_attribute("#picture", "data-pass") != "32":
            page.wait_for_timeout(500)
        page.focus("#knob")
        page.keyboard.press("Space", delay=100)  # from level to white
        page.wait_for_timeout(1000)
        page.evaluate("document.activeElement.blur()")
        page.screenshot(path=DOCS / "simulator.png")
        browser.close()
    print("written:", DOCS / "simulator.png")
    return 0


if __name__ == "__main__":
    sys.exit(main())
