"""The README's pictures, taken from a served demo: `.venv/bin/python docs/screenshots/take.py http://localhost:8000`."""

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

HERE = Path(__file__).parent
CODE = "tarrow-county-demo"
QUIET = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking")


def sign_in(page: Page, base: str, name: str) -> None:
    page.goto(f"{base}/accounts/login/")
    page.fill("input[name=login]", f"{name}@tarrow.example")
    page.fill("input[name=password]", CODE)
    page.click("main button")
    page.wait_for_load_state()


def keep(page: Page, name: str) -> None:
    page.wait_for_timeout(500)
    page.screenshot(path=HERE / f"{name}.png")


def chief(page: Page, base: str) -> None:
    sign_in(page, base, "chief")
    for address, name in (
        ("/review/", "review"),
        ("/review/patterns/", "patterns"),
        ("/protocols/", "protocol"),
        ("/operations/", "operations"),
    ):
        page.goto(base + address)
        if name == "review":
            page.evaluate("document.querySelector('.trend').closest('figure').previousElementSibling.scrollIntoView()")
        keep(page, name)
    page.click("main table a >> nth=0")
    page.click("main a[href*='/assessments/']")
    keep(page, "assessment")


def supervisor(page: Page, base: str) -> None:
    sign_in(page, base, "supervisor")
    page.goto(f"{base}/tablet/")
    page.wait_for_selector("text=New assessment")
    keep(page, "tablet-start")
    page.click("text=New assessment")
    page.wait_for_selector("text=What are you called out for?")
    keep(page, "tablet-question")


def main(base: str) -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=list(QUIET))
        for journey in (chief, supervisor):
            journey(browser.new_context(viewport={"width": 1180, "height": 820}).new_page(), base)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"))
