"""How long do 20,000 past operations take from a file, and 20,000 rows in a spreadsheet file?

On a database filled by `manage.py load_demo`, found by OPSRISK_DATA or DATABASE_URL. Nothing in it is changed: what
comes in does so in a transaction that is undone.
    python docs/measurements/past_operations.py
"""

import csv
import io
import os
import sys
from pathlib import Path
from tempfile import TemporaryFile
from time import perf_counter

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
os.environ |= {"DJANGO_SETTINGS_MODULE": "opsrisk.settings"}

import django  # noqa: E402 - the path and the settings come first

django.setup()

from django.db import transaction  # noqa: E402 - Django is set up first
from django.utils import timezone  # noqa: E402 - Django is set up first

from opsrisk.agencies.models import Person  # noqa: E402 - Django is set up first
from opsrisk.review import export  # noqa: E402 - Django is set up first
from opsrisk.review.forms import Filter  # noqa: E402 - Django is set up first
from opsrisk.review.import_actions import bring_import, confirm_import, read_waiting  # noqa: E402 - Django is set up first
from opsrisk.review.import_columns import COLUMNS  # noqa: E402 - Django is set up first
from opsrisk.review.import_table import MOST_ROWS  # noqa: E402 - Django is set up first
from opsrisk.review.spreadsheet import write_spreadsheet  # noqa: E402 - Django is set up first


def past() -> bytes:
    """The example of each column, with a title and a reference of its own in each row."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([column.name for column in COLUMNS])
    for number in range(MOST_ROWS):
        own = {"title": f"Van {number} at the ferry", "own_reference": f"measured-{number}"}
        writer.writerow([own.get(column.name, column.example) for column in COLUMNS])
    return out.getvalue().encode()


def say(what: str, began: float) -> None:
    print(f"{what}: {perf_counter() - began:.1f} s")


def main() -> None:
    chief = Person.objects.filter(role="chief", agency__operations__isnull=False).order_by("email")[0]
    data, now = past(), timezone.now()
    print(f"{MOST_ROWS:,} rows, {len(data) / 1e6:.1f} MB, {os.cpu_count()} cores")
    with transaction.atomic():
        waiting = bring_import(data=data, name="measured.csv", by=chief, at=now)
        began = perf_counter()
        shown = read_waiting(waiting, now).digest
        say("read", began)
        began = perf_counter()
        made = confirm_import(waiting=waiting, shown=shown, by=chief, at=now)
        say(f"{made.number:,} taken in, read once more included", began)
        transaction.set_rollback(True)
    asked = Filter({}, person=chief)
    asked.is_valid()
    rows = list(export.whole(asked.cleaned_data, chief))
    many = [rows[number % len(rows)] for number in range(MOST_ROWS)]
    with TemporaryFile() as out:
        began = perf_counter()
        write_spreadsheet(out, many, ())
        say(f"spreadsheet file of {MOST_ROWS:,} rows, {out.tell() / 1e6:.1f} MB, without fetching them", began)


main()
