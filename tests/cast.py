"""The standing cast: an invented county's dive rescue with seven people, a vehicle and a site, and a neighbour."""

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.db import connection
from django.test import Client

from opsrisk.agencies import actions
from opsrisk.agencies.models import Agency, Person, Site, Vehicle

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
NAMES = UUID("6f3c0d5e-5d0b-4a53-9a58-0f3f2a1f7c11")  # every id of the cast follows from its name
PASSWORD = "seven herons on the weir"


@dataclass(frozen=True)
class Cast:
    agency: Agency
    supervisor: Person
    deputy: Person
    diver: Person
    chief: Person
    safety: Person
    vehicle: Vehicle
    site: Site
    neighbour: Agency
    neighbour_supervisor: Person
    neighbour_chief: Person
    installer: Person

    @property
    def people(self) -> dict[str, Person]:
        return {name: value for name, value in self.__dict__.items() if isinstance(value, Person)}


def key_of(person: Person) -> Ed25519PrivateKey:
    """Each person's signing key in tests; deriving it from a code is the tablet's business."""
    return Ed25519PrivateKey.from_private_bytes(hashlib.sha256(f"signing {person.pk}".encode()).digest())


def public_key_of(person: Person) -> str:
    return base64.b64encode(key_of(person).public_key().public_bytes_raw()).decode()


def _person(email: str, name: str, role: str, agency: Agency | None, **more: Any) -> Person:
    person = Person(id=uuid5(NAMES, email), email=email, name=name, role=role, agency=agency, **more)
    person.set_unusable_password()  # hashing is slow on purpose; who signs in by password sets one
    person.save()
    if agency:
        salt = base64.b64encode(person.pk.bytes).decode()
        actions.set_signing_code(
            person=person, salt=salt, iterations=600_000, public_key=public_key_of(person), by=person, at=NOON
        )
        person.refresh_from_db()
    return person


@pytest.fixture
def cast(db: None) -> Cast:
    return people()


def people() -> Cast:
    """The cast in a database that has none of it yet."""
    agency = Agency.objects.create(
        id=uuid5(NAMES, "tarrow"), name="Tarrow County Dive Rescue", slug="tarrow", second_factor=False
    )
    neighbour = Agency.objects.create(
        id=uuid5(NAMES, "ellmere"), name="Ellmere Harbour Watch", slug="ellmere", second_factor=False
    )
    vehicle = Vehicle.objects.create(
        id=uuid5(NAMES, "vehicle"),
        agency=agency,
        name="Otter",
        depth_rating_m="100",
        tether_length_m="120",
        tether_diameter_mm="8",
        thrust_n="60",
        drag_area_m2="0.09",
        imaging_sonar=True,
    )
    site = Site.objects.create(
        id=uuid5(NAMES, "site"), agency=agency, name="Quarry basin", water="fresh", lat="45.5", lon="-120.25"
    )
    return Cast(
        agency=agency,
        supervisor=_person("ines@tarrow.example", "Ines Varga", "supervisor", agency),
        deputy=_person("oskar@tarrow.example", "Oskar Lund", "supervisor", agency),
        diver=_person("mara@tarrow.example", "Mara Quill", "member", agency),
        chief=_person("teo@tarrow.example", "Teo Brandt", "chief", agency),
        safety=_person("lena@tarrow.example", "Lena Okafor", "safety_officer", agency),
        vehicle=vehicle,
        site=site,
        neighbour=neighbour,
        neighbour_supervisor=_person("rafe@ellmere.example", "Rafe Dunn", "supervisor", neighbour),
        neighbour_chief=_person("sol@ellmere.example", "Sol Hartmann", "chief", neighbour),
        installer=_person("root@install.example", "Installer", "member", None, is_staff=True, is_superuser=True),
    )


@pytest.fixture
def as_person() -> Callable[[Person | None], Client]:
    """A browser in which this person is signed in; nobody for None."""

    def client(person: Person | None) -> Client:
        made = Client()
        if person is not None:
            made.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
        return made

    return client


def without_token(answer: Any) -> str:
    """The page, but for the token against forged requests, which is written anew each time."""
    return re.sub(r'(name="csrfmiddlewaretoken" value=")[^"]+', r"\1", answer.content.decode())


@pytest.fixture
def clock() -> Iterator[datetime]:
    """Times of a test, a minute apart."""

    def ticks() -> Iterator[datetime]:
        now = NOON
        while True:
            now += timedelta(minutes=1)
            yield now

    return ticks()


@pytest.fixture(scope="session", autouse=True)
def _emptying_between_tests() -> Iterator[None]:
    """SQLite is emptied by DELETE, which the triggers refuse: they step aside for that moment, in tests only."""
    if connection.vendor != "sqlite":  # PostgreSQL is emptied by TRUNCATE
        yield
        return
    operations = type(connection.ops)
    plain = operations.execute_sql_flush

    def flush(self: Any, statements: list[str]) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            kept = list(cursor.fetchall())
        drops = [f"DROP TRIGGER {name}" for name, _ in kept]
        plain(self, [*drops, *statements, *(text for _, text in kept)])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(operations, "execute_sql_flush", flush)
        yield
