"""How long do the chief's pages take with many operations? Of the agency with the most and of the one in the middle.

On a database filled by `manage.py load_demo --large`, found by OPSRISK_DATA or DATABASE_URL. Each page is asked for
through Django's test client, once beforehand and then as often as said; times are those of the whole answer.
    python docs/measurements/review_pages.py [rounds]
"""

import os
import sys
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
ROUNDS = int(sys.argv[1]) if len(sys.argv) > 1 else 30
os.environ |= {"DJANGO_SETTINGS_MODULE": "opsrisk.settings"}

import django  # noqa: E402 - the path and the settings come first

django.setup()

from django.conf import settings  # noqa: E402 - Django is set up first
from django.db import connection  # noqa: E402 - Django is set up first
from django.db.models import Count  # noqa: E402 - Django is set up first
from django.test import Client  # noqa: E402 - Django is set up first
from django.test.utils import CaptureQueriesContext  # noqa: E402 - Django is set up first
from django.urls import reverse  # noqa: E402 - Django is set up first

from opsrisk.agencies.models import Agency, Person  # noqa: E402 - Django is set up first
from opsrisk.operations.models import Operation  # noqa: E402 - Django is set up first
from opsrisk.review.in_force import catch_up  # noqa: E402 - Django is set up first

PAGES = (
    ("list and figures", "review", {}),
    ("the same, last page", "review", {"page": "last"}),
    ("the same, one kind", "review", {"kind": "recovery"}),
    ("the same, words in the title", "review", {"q": "skiff"}),
    ("the same, most cautious first", "review", {"sort": "-caution"}),
    ("what decided", "review_rules", {}),
    ("what decided, one year", "review_rules", {"since": "2024-01-01", "until": "2024-12-31"}),
    ("by site, season, person", "review_patterns", {}),
    ("what the numbers rest on", "calibration", {}),
    ("reports", "reports", {}),
    ("log", "log", {}),
)


def ask(client: Client, name: str, asked: dict[str, str]) -> tuple[float, int]:
    began = perf_counter()
    answer = client.get(reverse(name), asked)
    took = perf_counter() - began
    if answer.status_code != 200:
        raise SystemExit(f"{name}: {answer.status_code}")
    return took, len(answer.content)


def measure(agency: Agency) -> float:
    """Prints a line for each page; the longest 95th percentile of them."""
    client = Client(SERVER_NAME="localhost")
    client.force_login(
        Person.objects.get(agency=agency, role="chief"), "allauth.account.auth_backends.AuthenticationBackend"
    )
    worst = 0.0
    for words, name, asked in PAGES:
        ask(client, name, asked)
        with CaptureQueriesContext(connection) as queries:
            _, size = ask(client, name, asked)
        number = len(queries)  # the log is emptied by the next request
        times = sorted(ask(client, name, asked)[0] for _ in range(ROUNDS))
        middle, late = times[ROUNDS // 2], times[min(ROUNDS - 1, int(ROUNDS * 0.95))]
        worst = max(worst, late)
        print(f"| {words} | {number} | {middle * 1e3:.0f} | {late * 1e3:.0f} | {size / 1024:.0f} |")
    return worst


if __name__ == "__main__":
    settings.ALLOWED_HOSTS = ["localhost"]
    rows = Agency.objects.annotate(number=Count("operations")).filter(number__gt=0).order_by("-number")
    chosen = [rows[0], rows[len(rows) // 2]]
    began = perf_counter()
    for agency in Agency.objects.all():
        catch_up(agency)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")  # as the database does by itself some time after so many new rows
    print(f"brought up to the log: {perf_counter() - began:.1f} s for all agencies")
    load = os.getloadavg()[0]
    print(f"{Operation.objects.count()} operations, {len(rows)} agencies, {connection.vendor}, "
          f"{len(os.sched_getaffinity(0))} cores, load {load:.1f}, {ROUNDS} rounds")  # fmt: skip
    for agency in chosen:
        print(f"\n{agency.name}: {agency.operations.count()} operations\n")
        print("| page | queries | median ms | p95 ms | kB |\n| --- | --- | --- | --- | --- |")
        print(f"longest p95: {measure(agency) * 1e3:.0f} ms")
