"""How long does the what-if take on a hundred thousand past assessments? Loaded, decided, counted; one limit moved.

Makes a database of its own in a temporary folder: one agency, its operations, each with a record of the size that the
demo's have (11 kB and the server's own answer beside it), and the facts of situations drawn at random, packed as the
program keeps them. Reading the records and working out their facts, which a job does beforehand, is measured on fewer.
    python docs/measurements/what_if.py [how many]
"""

import json
import os
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from time import perf_counter, process_time
from uuid import uuid4

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
MANY, DRAWN = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000, 1_000
os.environ |= {"OPSRISK_DATA": tempfile.mkdtemp(prefix="what-if-"), "DJANGO_SETTINGS_MODULE": "opsrisk.settings"}

import django  # noqa: E402 - the path and the settings come first

django.setup()

from django.core.management import call_command  # noqa: E402 - Django is set up first
from django.db import connection  # noqa: E402 - Django is set up first

from opsrisk.agencies import actions as agencies  # noqa: E402 - Django is set up first
from opsrisk.agencies.models import Agency, Person  # noqa: E402 - Django is set up first
from opsrisk.engine.parts import Protocol  # noqa: E402 - Django is set up first
from opsrisk.engine.protocol import read_protocol  # noqa: E402 - Django is set up first
from opsrisk.operations.models import Assessment, Operation  # noqa: E402 - Django is set up first
from opsrisk.protocols.actions import draft  # noqa: E402 - Django is set up first
from opsrisk.protocols.knobs import turned  # noqa: E402 - Django is set up first
from opsrisk.protocols.models import ProtocolVersion  # noqa: E402 - Django is set up first
from opsrisk.protocols.shipped import BASELINE, baseline  # noqa: E402 - Django is set up first
from opsrisk.review.actions import missing  # noqa: E402 - Django is set up first
from opsrisk.review.facts import basis_of, packed  # noqa: E402 - Django is set up first
from opsrisk.review.models import PastFacts  # noqa: E402 - Django is set up first
from opsrisk.review.whatif import decisions, effect, past  # noqa: E402 - Django is set up first
from tests.random_situations import random_document  # noqa: E402 - Django is set up first

NOW = datetime.now(UTC)


def facts(number: int) -> list[bytes]:
    chance = Random(7)  # noqa: S311 - the same draw at each run
    records = [json.dumps({"situation": random_document(chance)}) for _ in range(number)]
    began = process_time()
    made = [packed(record, baseline()) for record in records]
    print(f"read and worked out beforehand: {(process_time() - began) / number * 1e3:.2f} ms a record")
    return made


def assessments(agency: Agency, person: Person, version: ProtocolVersion) -> Iterator[list[Assessment]]:
    """In batches; the columns that nobody reads here hold fillings of their usual length."""
    for start in range(0, MANY, 1_000):
        made = [
            Operation(agency=agency, title="x", kind="training", called_at=NOW) for _ in range(min(1_000, MANY - start))
        ]
        Operation.objects.bulk_create(made)
        yield [
            Assessment(
                id=uuid4(), operation=each, revision=1, record="x" * 11_360, digest=uuid4().hex * 2,
                situation_digest="0" * 64, protocol=version, decision="hold", score=50, own_decision="hold",
                chosen_decision="hold", assessed_at=NOW, made_by=person, received_by=person, received_at=NOW,
                server_decision="hold", server_document="x" * 6_500, receipt="{}",
            )
            for each in made
        ]  # fmt: skip


def fill() -> Agency:
    call_command("migrate", verbosity=0)
    agency = agencies.found_agency(
        name="Measured", slug="measured", units="us", time_zone="UTC", second_factor=False, by=None, at=NOW
    )
    person = agencies.enrol(
        agency=agency, email="a@b.example", name="A", role="chief", password="x" * 20, by=None, at=NOW
    )
    version = draft(agency=agency, document=BASELINE.read_text(), by=person, at=NOW)
    basis, drawn, chance = basis_of(baseline()), facts(DRAWN), Random(8)  # noqa: S311 - the same
    for batch in assessments(agency, person, version):
        Assessment.objects.bulk_create(batch)
        PastFacts.objects.create(
            agency=agency,
            basis=basis,
            stamp=uuid4().hex,
            number=len(batch),
            ids=b"".join(each.pk.bytes for each in batch),
            versions=version.pk.bytes * len(batch),
            decisions=bytes([4]) * len(batch),
            readable=bytes([1]) * len(batch),
            values=b"".join(chance.choices(drawn, k=len(batch))),
        )
    return agency


Clock = tuple[float, float]


def now() -> Clock:
    return perf_counter(), process_time()


def timed(what: str, started: Clock) -> Clock:
    wall, processor = (end - start for end, start in zip(now(), started, strict=True))
    print(f"{what}: {wall:.2f} s, of which {processor:.2f} s at work")
    return now()


def once(agency: Agency, rules: Protocol, what: str) -> None:
    began = clock = now()
    left = missing(agency, rules)
    clock = timed(f"{what}, looked for missing ones ({left})", clock)
    of = past(agency, rules)
    clock = timed(f"{what}, loaded {len(of)}", clock)
    decisions(rules, of.facts)
    clock = timed(f"{what}, decided", clock)
    found = effect(rules, of)
    timed(f"{what}, decided and counted ({len(found.changed)} change, {len(found.by_version)} version)", clock)
    timed(f"{what}, in all (decided twice)", began)


if __name__ == "__main__":
    measured = fill()
    cores, load = len(os.sched_getaffinity(0)), os.getloadavg()[0]
    print(f"{MANY} assessments in {connection.vendor}, {cores} cores, load {load:.1f}")
    once(measured, baseline(), "first")
    moved = read_protocol(json.dumps(turned(baseline().document, "lines/nobody_to_save/0", "30")))
    once(measured, moved, "limit moved")
