"""`manage.py load_demo`: the invented county, through the same actions that everybody uses."""

import tomllib
from datetime import UTC, datetime, timedelta
from secrets import token_urlsafe
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from opsrisk.agencies import actions as kit
from opsrisk.agencies.models import Agency, CurrentStation, Person, Site
from opsrisk.agencies.signing_code import ITERATIONS, key_from_code, new_salt, public_key
from opsrisk.briefing.actions import issue_sheet
from opsrisk.operations.actions import close_operation, receive_record
from opsrisk.operations.debrief_actions import debrief
from opsrisk.operations.models import Assessment, Operation
from opsrisk.physics.station import Station
from opsrisk.protocols import actions as rules
from opsrisk.protocols.shipped import BASELINE, FIXTURES, baseline
from opsrisk.review.demo.debrief import told
from opsrisk.review.demo.draw import PastOperation, draw, outcome
from opsrisk.review.demo.large import load
from opsrisk.review.demo.planned import plan_inputs
from opsrisk.review.demo.record import Keys, build, sign

PLANNED = 5  # of the newest operations carry a plan; the others are of before
COUNTY = FIXTURES / "county" / "county.toml"


def _give_printed_password(person: Person, password: str) -> None:
    """The demo's password is printed for everybody and no secret; by its words the agency's rules would refuse it."""
    person.set_password(password)
    person.save(update_fields=["password"])


class Command(BaseCommand):
    help = "Load the invented county: agency, people, vehicle, sites, a current station and its past operations."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--large", action="store_true", help="many agencies instead, to measure pages with")
        parser.add_argument("--operations", type=int, default=100_000, help="with --large: of all agencies together")
        parser.add_argument("--agencies", type=int, default=40, help="with --large")
        parser.add_argument("--years", type=int, default=10, help="with --large")

    def handle(self, *, large: bool, operations: int, agencies: int, years: int, **_: Any) -> None:
        if not large:
            self._county()
            return
        if min(operations, agencies, years) < 1:
            raise CommandError("--operations, --agencies and --years: at least 1")
        for said in load(operations, agencies, years):
            self.stdout.write(said)

    @transaction.atomic  # all of the county or none of it, and one flush to disk instead of a thousand
    def _county(self) -> None:
        county = tomllib.loads(COUNTY.read_text())
        if Agency.objects.filter(slug=county["agency"]["slug"]).exists():
            raise CommandError("the invented county is here already")
        today = datetime.now(UTC).replace(microsecond=0)
        founded = today - timedelta(days=365 * county["years"] + 30)
        code = county["signing_code"]
        neighbour = kit.found_agency(**county["neighbour"], second_factor=False, by=None, at=founded)
        petra = kit.enrol(
            agency=neighbour,
            email="chief@ellery.example",
            name="Petra Lund",
            role="chief",
            password=token_urlsafe(),
            by=None,
            at=founded,
        )
        _give_printed_password(petra, code)
        agency = kit.found_agency(**county["agency"], second_factor=False, by=None, at=founded)
        people, keys = self._people(county, agency, founded)
        chief, safety = people["chief@tarrow.example"], people["safety@tarrow.example"]
        rules.adopt(
            version=rules.draft(agency=agency, document=BASELINE.read_text(), by=safety, at=founded),
            by=chief,
            at=founded,
            reason="The first protocol: the shipped baseline, read and agreed to as a start.",
        )
        sites = self._places(county, agency, chief, founded)
        for person in county["people"]:
            person["id"] = str(people[person["email"]].pk)
        station = Station.from_document(county["station"])
        past = list(draw(county, station, today))
        for place, operation in enumerate(past, start=1):
            planned = place > len(past) - PLANNED
            inputs = self._plan(operation, county, sites) if planned else None
            self._operation(operation, people, keys, sites, inputs)
        self._sheets(people["supervisor@tarrow.example"], today)
        self.stdout.write(f"{agency.name}: {len(people)} people, {len(sites)} sites, {len(past)} past operations")
        self.stdout.write(f"sign-in  {chief.email} or supervisor@tarrow.example  password and signing code  {code}")

    def _people(self, county: dict[str, Any], agency: Agency, at: datetime) -> tuple[dict[str, Person], Keys]:
        people, keys = {}, {}
        for entry in county["people"]:
            person = kit.enrol(
                agency=agency, email=entry["email"], name=entry["name"], role=entry["role"],
                password=token_urlsafe(), by=None, at=at,
            )  # fmt: skip
            _give_printed_password(person, county["signing_code"])
            salt = new_salt()
            keys[person.pk] = key_from_code(county["signing_code"], salt)
            kit.set_signing_code(
                person=person,
                salt=salt,
                iterations=ITERATIONS,
                public_key=public_key(keys[person.pk]),
                by=person,
                at=at,
            )
            for kind in entry["qualifications"]:
                kit.qualify(person=person, kind=kind, limits={}, expires=None, by=None, at=at)
            people[entry["email"]] = person
        return people, keys

    def _places(self, county: dict[str, Any], agency: Agency, by: Person, at: datetime) -> dict[str, Site]:
        kit.load_stations(stations=[county["station"]], by=None, at=at)
        station = CurrentStation.objects.get(pk=county["station"]["id"])
        vehicle = {k: v for k, v in county["vehicle"].items() if k != "in_kit_since_days"}
        kit.add_vehicle(agency=agency, by=by, at=at, **vehicle)
        found = {}
        for entry in county["sites"]:
            place = {
                "name": entry["name"],
                "water": entry["water"],
                "lat": entry["latitude"],
                "lon": entry["longitude"],
            }
            tidal = station if entry["kind"] == "tidal" else None
            found[entry["name"]] = kit.add_site(
                agency=agency, by=by, at=at, notes=entry["notes"], station=tidal, **place
            )
        return found

    def _plan(self, past: PastOperation, county: dict[str, Any], sites: dict[str, Site]) -> dict[str, Any]:
        tidal = sites[past.site].station_id is not None
        return plan_inputs(past.situation, county["vehicle"], county["station"] if tidal else None)

    def _operation(
        self,
        past: PastOperation,
        people: dict[str, Person],
        keys: Keys,
        sites: dict[str, Site],
        inputs: dict[str, Any] | None,
    ) -> None:
        record = build(past, baseline(), sites[past.site].pk, people, inputs)
        stated = record["situation"]["positions"].get("supervisor", {}).get("person")
        deciders = [p for p in people.values() if str(p.pk) == stated and p.role in ("supervisor", "chief")]
        decider = deciders[0] if deciders else people["supervisor@tarrow.example"]
        signers = [(decider, "decided")]
        second = record["chosen"]["second_person"]
        if second == str(decider.pk):  # nobody agrees with himself: the safety officer does
            record["chosen"]["second_person"] = second = str(people["safety@tarrow.example"].pk)
        if second:
            signers.append((next(p for p in people.values() if str(p.pk) == second), "overrode"))
        briefed = {entry.get("person") for entry in record["situation"]["positions"].values()}
        signers += [(p, "briefed") for p in people.values() if str(p.pk) in briefed and p != decider]
        at = datetime.fromisoformat(record["made_at"]) + timedelta(minutes=6)
        receive_record(body=sign(record, signers, keys, at - timedelta(minutes=5)), key=record["id"], by=decider, at=at)
        operation = Operation.objects.get(pk=UUID(record["operation"]["id"]))
        closed = at + timedelta(minutes=past.chance.randrange(35, 260))
        came = outcome(record["chosen"]["decision"], past.chance)
        close_operation(operation=operation, outcome=came, by=decider, at=closed)
        said = told(record["chosen"]["decision"], came, past.chance)
        if said:
            debrief(operation=operation, told=said, by=decider, at=closed + timedelta(hours=2))

    def _sheets(self, by: Person, at: datetime) -> None:
        """Sheets of the newest operations; the rest are printed when somebody asks."""
        for assessment in Assessment.objects.for_person(by).order_by("-assessed_at")[:3]:
            issue_sheet(assessment=assessment, paper="a4", by=by, at=at)
