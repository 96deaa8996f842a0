"""What one visit of the tablet's page is timed by, in the page's own clock."""

from pathlib import Path
from statistics import quantiles
from typing import TYPE_CHECKING, Any

from opsrisk.tablet.management.in_browser import as_root
from opsrisk.tablet.management.page.slowness import slow_down

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, Playwright

PATIENCE_MS = 180_000
SCREENS = 60
WATCH = Path(__file__).with_name("watch.js")
COMPILED = """async () => {
  while (!(await (await caches.open("compiled")).keys()).length) await new Promise((go) => setTimeout(go, 200));
}"""
READY = """async () => { await (await import("/static/tablet/engine.js")).start(); return performance.now(); }"""


def opened(playwright: "Playwright", program: str, folder: Path, times: int) -> "BrowserContext":
    """The tablet's browser with what it kept in `folder`, `times` slower than this machine."""
    args = ["--disable-gpu", "--no-first-run", "--disable-background-networking", *as_root()]
    context = playwright.chromium.launch_persistent_context(
        folder, executable_path=program, args=args, viewport={"width": 1180, "height": 820}, has_touch=True
    )
    context.set_default_timeout(PATIENCE_MS)
    if times > 1:
        slow_down(str(folder), times)
    return context


def signed_in(context: "BrowserContext", address: str, email: str, password: str) -> "Page":
    page = context.pages[0]
    page.goto(f"{address}/accounts/login/?next=/tablet/")
    page.locator("input[name=login]").fill(email)
    page.locator("input[name=password]").fill(password)
    page.locator("input[name=password]").press("Enter")
    page.locator("#new").wait_for()
    page.evaluate("navigator.serviceWorker.ready")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    page.evaluate(READY)
    page.evaluate(COMPILED)  # some seconds after the first start, as on any tablet
    return page


def started(context: "BrowserContext", address: str) -> dict[str, float]:
    """Seconds from the address to the first question and to the engine, with no server."""
    page = context.new_page()
    page.add_init_script(path=WATCH)
    page.goto(f"{address}/tablet/", wait_until="commit")
    page.wait_for_function("() => window.timed?.question")
    engine = page.evaluate(READY)
    return {"question": page.evaluate("window.timed.question") / 1000, "engine": engine / 1000}


def interactions(context: "BrowserContext") -> dict[str, Any]:
    """Milliseconds from touch to the next picture, over the question pages; those under 16 ms count as 16."""
    page = context.pages[-1]
    taps = 0
    for _ in range(SCREENS):
        for x, y in page.evaluate("window.timed.targets()"):
            page.touchscreen.tap(x, y)
            taps += 1
            page.wait_for_timeout(150)
        before = page.evaluate("location.hash")
        page.locator("#next").tap()
        taps += 1
        page.wait_for_timeout(250)
        if page.evaluate("location.hash.endsWith('/check')"):
            break
        if page.evaluate("location.hash") == before:
            page.evaluate("window.timed.onward()")
            page.wait_for_timeout(250)
    longest: dict[int, float] = {}
    for number, duration in page.evaluate("window.timed.slow"):
        longest[number] = max(longest.get(number, 0), duration)
    found = sorted([*longest.values(), *([16.0] * max(0, taps - len(longest)))])
    return {"taps": taps, "p75": quantiles(found, n=4)[2], "p98": quantiles(found, n=50)[-1], "most": found[-1]}
