"""Three days with no server: loaded once, then the whole job each day, with the browser ended and started between the days."""

import io
import json
import os
import signal
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.conf import settings as django_settings
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from opsrisk.operations.models import Assessment
from tests.browser import QUIET, chromium
from tests.journeys.cut_off import Way
from tests.tablet.answers import answers, reading
from tests.tablet.hands import ENGINE_MS, Hands

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(1200)]

DAY = timedelta(days=1)
# The device's clock, later by so many milliseconds than this machine's; it goes on as usual.
LATER = """(later => {
  const Real = Date;
  globalThis.Date = class extends Real {
    constructor(...given) { given.length ? super(...given) : super(Real.now() + later); }
    static now() { return Real.now() + later; }
  };
})(%d)"""
DRAFT = """async () => (await import("/static/tablet/context.js")).app.draft"""


class Tablet:
    """One browser profile on the disk: what it holds outlives the browser."""

    def __init__(self, kind, folder, address):
        self.kind, self.folder, self.address = kind, folder, address
        self.context = None

    def start(self, later):
        root = ["--no-sandbox"] if os.geteuid() == 0 else []
        self.context = self.kind.launch_persistent_context(
            self.folder, executable_path=chromium(), args=[*QUIET, *root], base_url=self.address,
            viewport={"width": 1180, "height": 820}, has_touch=True, reduced_motion="reduce",
        )  # fmt: skip
        self.context.set_default_timeout(60_000)
        page = self.context.new_page()
        page.add_init_script(LATER % (later.total_seconds() * 1000))
        return Hands(page)

    def end(self, *, killed):
        """Closed as a person does, or killed as an operating system does."""
        if killed:
            for process in Path("/proc").glob("[0-9]*"):
                if process.joinpath("comm").exists() and str(self.folder) in _command(process):
                    os.kill(int(process.name), signal.SIGKILL)
        try:
            self.context.close()
        except Exception:
            assert killed, "the browser did not close"


def _command(process):
    try:
        return (process / "cmdline").read_bytes().decode(errors="replace")
    except OSError:
        return ""


@pytest.fixture
def way(live_server):
    found = urlsplit(live_server.url)
    way = Way(found.hostname, found.port)
    way.open()
    yield way
    way.cut()


@pytest.fixture
def tablet(browser, way, tmp_path):
    return Tablet(browser.browser_type, tmp_path / "tablet", way.address)


def at_that_time(given, later):
    """The same answers, measured on that day."""
    now = datetime.now(UTC).replace(microsecond=0)
    text = json.dumps(given)
    for seconds in range(-5, 6):
        moment = now + timedelta(seconds=seconds)
        text = text.replace(moment.isoformat(), (moment + later).isoformat())
    return json.loads(text)


def whole_job(hands, county, later):
    """Assess, judge, decide, every number of the plan, brief and say back, sign, print."""
    page = hands.page
    hands.open()
    hands.begin()
    hands.fill(at_that_time(answers(county, task__target="contact"), later))
    hands.judge("Vehicle first")
    hands.next()
    hands.heading("The plan")
    page.locator(".number-link").first.wait_for(timeout=ENGINE_MS)
    for number in range(page.locator(".number-link").count()):
        hands.tap(page.locator(".number-link").nth(number))
        page.get_by_role("heading", name="Worked out from").wait_for()
        page.go_back()
        page.locator(".number-link").first.wait_for(timeout=ENGINE_MS)
    hands.next()
    hands.heading("What is done?")
    hands.tap(hands.decision_tile("Hold"))
    hands.next()
    hands.heading("Brief the team")
    return printed(hands)


def printed(hands):
    page = hands.page
    if page.get_by_role("heading", level=1, name="Brief the team").count():
        hands.next()
    page.locator("#code-field").wait_for()
    hands.sign()
    hands.finish()
    page.emulate_media(media="print")
    text = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True))).pages[0].extract_text()
    page.emulate_media(media="screen")
    return " ".join(text.split())


def reassess(hands, later):
    """The current has become worse: the next revision, with the new reading alone, decided and signed again."""
    page = hands.page
    hands.tap(page.get_by_role("button", name="Change: next revision"))
    hands.heading("All questions")
    now = datetime.now(UTC) + later
    worse = reading("2.6", "kn", at=now.isoformat(timespec="seconds"))
    before = page.evaluate(DRAFT)["answers"]
    hands.fill(before | {"readings.current": worse})
    hands.judge("Hold")
    decision = page.evaluate(DRAFT)["decision"]["decision"]
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Hold"))
    hands.next()
    hands.heading("Brief the team")
    return decision, printed(hands)


def sign_in(tablet, county):
    client = Client()
    client.force_login(county.supervisor, backend="allauth.account.auth_backends.AuthenticationBackend")
    name = django_settings.SESSION_COOKIE_NAME
    ends = datetime.now(UTC).timestamp() + 86400
    tablet.context.add_cookies(
        [{"name": name, "value": client.cookies[name].value, "url": tablet.address, "expires": ends}]
    )


def test_three_days_without_a_server_then_everything_arrives(tablet, way, county, monkeypatch):
    """Loaded once; each day the whole job and a worse reading; ended, killed, ended; six records arrive, none decided otherwise."""
    hands = tablet.start(timedelta())
    sign_in(tablet, county)
    hands.open()
    hands.page.evaluate("navigator.serviceWorker.ready")
    hands.page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    way.cut()
    for day in range(1, 4):
        tablet.end(killed=day == 2)
        later = DAY * day
        hands = tablet.start(later)
        first = whole_job(hands, county, later)
        assert "Printed from device, not yet received by server" in first
        assert "Hold" in first and "Quarry basin" in first
        decision, second = reassess(hands, later)
        assert decision in ("vehicle_only", "hold")
        assert "2.6 kn" in second and "Revision 2" in second
        hands.page.get_by_text(f"On device: {2 * day} not sent").wait_for()
    assert Assessment.objects.count() == 0
    now = timezone.now
    monkeypatch.setattr(timezone, "now", lambda: now() + later)  # three days have passed for the server too
    sign_in(tablet, county)
    way.open()
    hands.page.evaluate("location.hash = '#/'")
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    assert Assessment.objects.count() == 6
    assert not Assessment.objects.filter(differs=True).exists()
    assert sorted(Assessment.objects.values_list("revision", flat=True)) == [1, 1, 1, 2, 2, 2]
    tablet.end(killed=False)
