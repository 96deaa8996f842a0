"""A hundred thousand past operations of many invented agencies, for measuring: records as large and as different as
the county's, without signatures, and straight into the database.

Records are drawn from the county's generator for one year and repeated in other years, with the ids, the people and
the protocol version of their agency; digests and log entries are those of what is stored.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import islice
from random import Random
from typing import Any
from uuid import UUID, uuid5

from django.contrib.auth.hashers import make_password
from django.db import transaction

from opsrisk.agencies import actions as kit
from opsrisk.agencies.models import Agency, Person, Site
from opsrisk.assessment.record import canonical, digest
from opsrisk.ledger.actions import NewEntry, append_all
from opsrisk.operations.countersigned import first_receipt
from opsrisk.operations.models import Assessment, Debrief, Operation
from opsrisk.physics.station import Station
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import BASELINE, FIXTURES, baseline
from opsrisk.review.demo.debrief import told
from opsrisk.review.demo.draw import draw, outcome
from opsrisk.review.demo.record import NAMES, build

YEAR = re.compile(r'"(20\d\d)-')
DIFFERENT, SITES, VERSIONS, AT_ONCE = 1500, 24, 3, 500
ROLES = ("chief", "safety_officer", *["supervisor"] * 6)
NAMED = ("Ada", "Ben", "Cleo", "Dov", "Esme", "Finn", "Gale", "Hana")
VISIBILITIES = (0.15, 0.3, 0.6, 1.0, 2.0, 4.0, None)


@dataclass(frozen=True)
class Party:
    """An agency of the large demo, with what its records name."""

    agency: Agency
    people: tuple[Person, ...]
    sites: tuple[Site, ...]
    versions: tuple[ProtocolVersion, ...]  # the earliest first


@dataclass(frozen=True)
class Made:
    """The rows of one operation."""

    operation: Operation
    assessment: Assessment
    debrief: Debrief | None
    entries: tuple[NewEntry, ...]


def sizes(operations: int, agencies: int) -> list[int]:
    """How many operations each agency has: the first the most, as the harmonic numbers fall; together `operations`."""
    weights = [1 / place for place in range(1, agencies + 1)]
    found = [int(operations * weight / sum(weights)) for weight in weights]
    found[0] += operations - sum(found)
    return found


def load(number: int, agencies: int, years: int) -> Iterator[str]:
    """Founds `agencies` and files `number` operations, saying how far it is. Raises ValueError if they are there."""
    county = tomllib.loads((FIXTURES / "county" / "county.toml").read_text())
    today = datetime.now(UTC).replace(microsecond=0)
    drawn = _drawn(county, today)
    password = make_password(county["signing_code"])
    yield f"{len(drawn)} different records drawn"
    for place, own in enumerate(sizes(number, agencies), start=1):
        party = _party(place, password, today, years)
        made = operations(party, drawn, own, years, f"{county['seed']}/{place}")
        while batch := list(islice(made, AT_ONCE)):
            _file(batch)
        yield f"{party.agency.name}: {own} operations; sign-in {party.people[0].email}"


def _drawn(county: Mapping[str, Any], today: datetime) -> list[str]:
    one_year = {**county, "years": 1, "operations": DIFFERENT, "seed": f"{county['seed']} large"}
    people = [person | {"id": str(uuid5(NAMES, person["email"]))} for person in county["people"]]
    named = {person["email"]: Person(id=UUID(person["id"]), name=person["name"]) for person in people}
    station = Station.from_document(county["station"])
    site = uuid5(NAMES, "site")
    return [
        canonical(build(past, baseline(), site, named)).decode()
        for past in draw({**one_year, "people": people}, station, today)
        if (past.called_at.month, past.called_at.day) != (2, 29)  # other years have no such day
    ]


@transaction.atomic
def _party(place: int, password: str, today: datetime, years: int) -> Party:
    founded = today - timedelta(days=366 * years + 30)
    agency = kit.found_agency(
        name=f"Invented County {place:02d}", slug=f"large-{place:02d}", units="us", time_zone="Etc/GMT+4",
        second_factor=False, by=None, at=founded,
    )  # fmt: skip
    people = _people(agency, place, password)
    sites = [
        kit.add_site(
            agency=agency, by=people[0], at=founded, notes="", station=None, name=f"Site {n:02d}", water="fresh",
            lat="0", lon="-30",
        )
        for n in range(1, SITES + 1)
    ]  # fmt: skip
    versions = tuple(
        _version(agency, (people[1], people[0]), n, founded + timedelta(days=366 * years * n / VERSIONS))
        for n in range(VERSIONS)
    )
    return Party(agency, tuple(people), tuple(sites), versions)


def _people(agency: Agency, place: int, password: str) -> list[Person]:
    """`password` is hashed already: it is printed for everybody, and hashing it for each takes longer than all else."""
    people = [
        Person(
            agency=agency, email=f"{role}{n}@large-{place:02d}.example", name=f"{NAMED[n]} of {place:02d}", role=role,
            password=password,
        )
        for n, role in enumerate(ROLES)
    ]  # fmt: skip
    Person.objects.bulk_create(people)
    return people


def _version(agency: Agency, by: tuple[Person, Person], n: int, at: datetime) -> ProtocolVersion:
    """The baseline's rules under another number, so that figures have several versions to keep apart."""
    document = json.loads(BASELINE.read_text()) | {"version": f"{n + 1}.0.0"}
    return ProtocolVersion.objects.create(
        agency=agency, protocol_id=document["id"], version=document["version"], digest=digest(document),
        document=json.dumps(document), state="adopted" if n == VERSIONS - 1 else "superseded", author=by[0],
        drafted_at=at, adopted_by=by[1], adopted_at=at, effective_from=at,
    )  # fmt: skip


@transaction.atomic
def _file(batch: Sequence[Made]) -> None:
    entries = append_all([entry for one in batch for entry in one.entries])
    for one, received in zip(batch, entries[::2], strict=True):  # two each: received, closed
        one.assessment.receipt = first_receipt(one.assessment, [], [], received.index, [])
    Operation.objects.bulk_create([one.operation for one in batch])
    Assessment.objects.bulk_create([one.assessment for one in batch])
    Debrief.objects.bulk_create([one.debrief for one in batch if one.debrief])


def operations(party: Party, drawn: Sequence[str], number: int, years: int, seed: str) -> Iterator[Made]:
    """`number` operations of one agency, out of the `drawn` records of one year."""
    chance = Random(seed)  # noqa: S311 - the same load at each run
    for n in range(number):
        site = chance.choice(party.sites)
        made = _moved(chance.choice(drawn), party.agency, site, chance.randrange(years), f"{seed}/{n}")
        yield _one(party, site, made, chance)


def _moved(text: str, agency: Agency, site: Site, back: int, name: str) -> dict[str, Any]:
    """The record `text` as one of `agency`, some years back."""
    made: dict[str, Any] = json.loads(YEAR.sub(lambda found: f'"{int(found[1]) - back}-', text))
    made["id"] = str(uuid5(agency.pk, f"record {name}"))
    made["operation"] |= {"id": str(uuid5(agency.pk, f"operation {name}")), "site": str(site.pk), "place": site.name}
    return made


def _one(party: Party, site: Site, made: dict[str, Any], chance: Random) -> Made:
    decider = chance.choice(party.people)
    at = datetime.fromisoformat(made["situation"]["assessed_at"])
    version = next((one for one in reversed(party.versions) if one.drafted_at <= at), party.versions[0])
    operation = _operation(party, made, site, at, chance)
    assessment = _assessment(operation, made, decider, version)
    about = {"digest": assessment.digest, "operation": str(operation.pk)}
    closed = {"outcome": operation.outcome}
    entries = (
        _entry(decider, at, "receive_record", assessment, about),
        _entry(decider, operation.closed_at or at, "close_operation", operation, closed),
    )
    return Made(operation, assessment, _debrief(operation, made, decider, chance), entries)


def _entry(by: Person, at: datetime, verb: str, subject: Operation | Assessment, detail: Mapping[str, Any]) -> NewEntry:
    return NewEntry(str(by.pk), by.name, at, by.agency_id, verb, subject._meta.label_lower, str(subject.pk), detail)


def _operation(party: Party, made: Mapping[str, Any], site: Site, at: datetime, chance: Random) -> Operation:
    return Operation(
        id=UUID(made["operation"]["id"]), agency=party.agency, title=made["operation"]["title"], site=site,
        place=site.name, kind=made["situation"]["task"]["kind"], called_at=at - timedelta(minutes=30),
        closed_at=at + timedelta(minutes=chance.randrange(20, 240)),
        outcome=outcome(made["chosen"]["decision"], chance),
    )  # fmt: skip


def _assessment(operation: Operation, made: Mapping[str, Any], decider: Person, version: ProtocolVersion) -> Assessment:
    answer, at = made["decision"], datetime.fromisoformat(made["situation"]["assessed_at"])
    return Assessment(
        id=UUID(made["id"]), operation=operation, revision=1, record=canonical(made).decode(), digest=digest(made),
        situation_digest=digest(made["situation"]), protocol=version, decision=answer["decision"],
        score=answer["score"], own_decision=made["own_judgement"]["decision"],
        chosen_decision=made["chosen"]["decision"], override_reason=made["chosen"]["reason"], assessed_at=at,
        made_by=decider, received_by=decider, received_at=at + timedelta(minutes=6),
        server_decision=answer["decision"], server_document=canonical(answer).decode(),
    )  # fmt: skip


def _debrief(operation: Operation, made: Mapping[str, Any], decider: Person, chance: Random) -> Debrief | None:
    said = told(made["chosen"]["decision"], operation.outcome, chance)
    if said is None or operation.closed_at is None:
        return None
    minutes = {name: getattr(said, name) for name in ("diver_minutes", "vehicle_minutes")}
    return Debrief(
        operation=operation, number=1, happened=said.happened, surprised=said.surprised, injuries=said.injuries,
        near_miss=said.near_miss, near_miss_words=said.near_miss_words, found_by=said.found_by,
        looking_back=said.looking_back, visibility_m=chance.choice(VISIBILITIES), by=decider,
        at=operation.closed_at + timedelta(hours=2),
        **{name: int(given) if given.isdigit() else None for name, given in minutes.items()},
    )  # fmt: skip
