"""Everything that changes agencies, people, kit and places."""

from __future__ import annotations

import base64
import binascii
import hashlib
import secrets
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypeVar
from zoneinfo import available_timezones

from allauth.usersessions.models import UserSession
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import models, transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import (
    Agency,
    CurrentStation,
    FormerSigningKey,
    Person,
    Qualification,
    Site,
    Token,
    Vehicle,
)
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused, checked

LEAST_ITERATIONS = 600_000  # OWASP Password Storage, PBKDF2-HMAC-SHA256
LEAST_SALT_BYTES = 16
TOKEN_BYTES = 32
Thing = TypeVar("Thing", Vehicle, Site)

VEHICLE_FIELDS = (
    "name",
    "depth_rating_m",
    "tether_length_m",
    "tether_diameter_mm",
    "thrust_n",
    "drag_area_m2",
    "current_limit_mps",
    "imaging_sonar",
    "sonar_modes",
)
SITE_FIELDS = ("name", "water", "lat", "lon", "altitude_m", "station", "notes")


class AlreadyRetired(Refused):
    """Retiring twice would forge the time of the first."""


@transaction.atomic
def found_agency(
    *,
    name: str,
    slug: str,
    units: str,
    time_zone: str,
    language: str = Agency.Language.ENGLISH,
    decimal: str = Agency.Decimal.POINT,
    second_factor: bool = True,
    by: Person | None,
    at: datetime,
) -> Agency:
    require(by, "found_agency")
    agency = Agency(name=name, slug=slug, units=units, time_zone=time_zone, second_factor=second_factor)
    agency.language, agency.decimal = language, decimal
    if time_zone not in available_timezones():
        raise Refused(("time_zone", time_zone, "a name of the time zone database, such as UTC"))
    checked(agency)
    agency.save(force_insert=True)
    enter(by=by, at=at, agency_id=agency.pk, verb="found_agency", subject=agency, detail={"name": name})
    return agency


@transaction.atomic
def set_second_factor(*, agency: Agency, on: bool, by: Person | None, at: datetime) -> Agency:
    """Whether supervisors, chiefs and safety officers of the agency need a second factor."""
    _in_own_agency(by, agency.pk)
    require(by, "set_second_factor")
    agency.second_factor = on
    agency.save(update_fields=["second_factor"])
    enter(by=by, at=at, agency_id=agency.pk, verb="set_second_factor", subject=agency, detail={"on": on})
    return agency


@transaction.atomic
def set_language(*, agency: Agency, language: str, decimal: str, by: Person | None, at: datetime) -> Agency:
    """In which language the agency's tablets and sheets begin, and which decimal sign they show. No record changes."""
    _in_own_agency(by, agency.pk)
    require(by, "set_language")
    before = {"language": agency.language, "decimal": agency.decimal}
    agency.language, agency.decimal = language, decimal
    checked(agency).save(update_fields=["language", "decimal"])
    detail = {"from": before, "to": {"language": language, "decimal": decimal}}
    enter(by=by, at=at, agency_id=agency.pk, verb="set_language", subject=agency, detail=detail)
    return agency


@transaction.atomic
def enrol(
    *, agency: Agency | None, email: str, name: str, role: str, password: str, by: Person | None, at: datetime
) -> Person:
    """Adds a person who can sign in at once. The password goes to its hash and nowhere else."""
    agency_id = agency.pk if agency else None
    _in_own_agency(by, agency_id)
    require(by, "enrol")
    person = Person(email=email.strip().lower(), name=name.strip(), role=role, agency=agency)
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refused(("password", "(not shown)", " ".join(fault.messages))) from fault
    person.set_password(password)
    checked(person).save(force_insert=True)
    enter(by=by, at=at, agency_id=agency_id, verb="enrol", subject=person, detail={"name": person.name, "role": role})
    return person


@transaction.atomic
def change_role(*, person: Person, role: str, by: Person | None, at: datetime) -> Person:
    _in_own_agency(by, person.agency_id)
    require(by, "enrol")
    if by and by.pk == person.pk:
        raise Refused(("role", role, "a change of your own role is made by somebody else"))
    before, person.role = person.role, role
    checked(person).save(update_fields=["role"])
    _log(by, at, person, "change_role", {"from": before, "to": role})
    return person


@transaction.atomic
def retire(*, person: Person, by: Person | None, at: datetime) -> Person:
    """Ends a person's access now: sign-in, every open session, tokens, signatures dated later."""
    _in_own_agency(by, person.agency_id)
    require(by, "enrol")
    person = Person.objects.select_for_update().get(pk=person.pk)
    if person.retired_at:
        raise AlreadyRetired(("person", person.name, f"somebody who was not retired already ({person.retired_at})"))
    person.is_active, person.retired_at = False, at
    person.save(update_fields=["is_active", "retired_at"])
    person.tokens.filter(revoked_at__isnull=True).update(revoked_at=at)
    _end(UserSession.objects.filter(user=person))
    _log(by, at, person, "retire_person", {"name": person.name})
    return person


@transaction.atomic
def end_sessions(*, person: Person, by: Person | None, at: datetime) -> int:
    """Signs a person out everywhere, now. Work on tablets stays there until they sign in again."""
    _in_own_agency(by, person.agency_id)
    require(by, "enrol")
    count = _end(UserSession.objects.filter(user=person))
    _log(by, at, person, "end_sessions", {"count": count})
    return count


@transaction.atomic
def end_own_session(*, session: UserSession, by: Person, at: datetime) -> None:
    """Signs oneself out in one place."""
    if session.user_id != by.pk:
        raise NotAllowed("session: only one's own")
    _end(UserSession.objects.filter(pk=session.pk))
    _log(by, at, by, "end_session", {"began": session.created_at.isoformat(), "from": session.ip})


@transaction.atomic
def set_signing_code(
    *, person: Person, salt: str, iterations: int, public_key: str, by: Person, at: datetime
) -> Person:
    """Keeps what checks a person's signatures. The code itself never reaches the server."""
    if by.pk != person.pk:
        raise NotAllowed("signing code: only its owner sets it")
    require(by, "sign")
    _check_signing(salt, iterations, public_key)
    person = Person.objects.select_for_update().get(pk=person.pk)
    if person.signing_public_key and person.signing_public_key != public_key:
        FormerSigningKey.objects.create(person=person, public_key=person.signing_public_key, until=at)
    person.signing_salt, person.signing_iterations = salt, iterations
    person.signing_public_key, person.signing_set_at = public_key, at
    person.save(update_fields=["signing_salt", "signing_iterations", "signing_public_key", "signing_set_at"])
    _log(by, at, person, "set_signing_code", {"public_key": public_key})
    return person


@transaction.atomic
def note_sign_in(*, person: Person, verb: str, at: datetime) -> None:
    """Logs that somebody signed in or out, or failed to: `verb` sign_in, sign_out or sign_in_failed."""
    enter(by=person, at=at, agency_id=person.agency_id, verb=verb, subject=person)


@transaction.atomic
def qualify(
    *, person: Person, kind: str, limits: Mapping[str, Any], expires: date | None, by: Person | None, at: datetime
) -> Qualification:
    """Records that a person is qualified, or renews it."""
    _in_own_agency(by, person.agency_id)
    require(by, "qualify")
    if kind.strip().casefold().startswith("medical"):
        raise Refused(
            ("kind", kind, "a position or a skill; a medical examination has a page of its own, for two dates")
        )
    held, _ = Qualification.objects.select_for_update().get_or_create(person=person, kind=kind.strip())
    held.limits, held.expires = dict(limits), expires
    checked(held).save()
    until = expires.isoformat() if expires else None
    _log(by, at, person, "qualify", {"kind": held.kind, "limits": held.limits, "expires": until})
    return held


@transaction.atomic
def add_vehicle(*, agency: Agency | None, by: Person | None, at: datetime, **fields: Any) -> Vehicle:
    """Fields as VEHICLE_FIELDS names them."""
    return _add(Vehicle(agency=agency, **_known(fields, VEHICLE_FIELDS)), "edit_kit", by, at)


@transaction.atomic
def change_vehicle(*, vehicle: Vehicle, by: Person | None, at: datetime, **fields: Any) -> Vehicle:
    return _change(vehicle, _known(fields, VEHICLE_FIELDS), "edit_kit", by, at)


@transaction.atomic
def retire_vehicle(*, vehicle: Vehicle, by: Person | None, at: datetime) -> Vehicle:
    return _retire(vehicle, "edit_kit", by, at)


@transaction.atomic
def add_site(*, agency: Agency | None, by: Person | None, at: datetime, **fields: Any) -> Site:
    """Fields as SITE_FIELDS names them."""
    return _add(Site(agency=agency, **_known(fields, SITE_FIELDS)), "edit_sites", by, at)


@transaction.atomic
def change_site(*, site: Site, by: Person | None, at: datetime, **fields: Any) -> Site:
    return _change(site, _known(fields, SITE_FIELDS), "edit_sites", by, at)


@transaction.atomic
def retire_site(*, site: Site, by: Person | None, at: datetime) -> Site:
    return _retire(site, "edit_sites", by, at)


@transaction.atomic
def make_token(*, person: Person, name: str, by: Person, at: datetime) -> tuple[Token, str]:
    """A token that lets a program read as `person`, and its secret, which is shown this once."""
    if by.pk != person.pk:
        raise NotAllowed("token: only for oneself")
    require(by, "read")
    secret = secrets.token_urlsafe(TOKEN_BYTES)
    token = checked(Token(person=person, name=name.strip(), digest=token_digest(secret), made_at=at))
    token.save(force_insert=True)
    _log(by, at, person, "make_token", {"token": str(token.pk), "name": token.name})
    return token, secret


@transaction.atomic
def revoke_token(*, token: Token, by: Person, at: datetime) -> Token:
    if by.pk != token.person_id:
        raise NotAllowed("token: only its owner revokes it")
    token.revoked_at = token.revoked_at or at
    token.save(update_fields=["revoked_at"])
    _log(by, at, token.person, "revoke_token", {"token": str(token.pk)})
    return token


@transaction.atomic
def load_stations(*, stations: list[Mapping[str, Any]], by: Person | None, at: datetime) -> int:
    """Takes over published current stations; each has id, name, lat, lon and its own data. Returns how many."""
    require(by, "found_agency")
    for given in stations:
        place = {name: Decimal(str(given[name])).quantize(Decimal("0.000001")) for name in ("lat", "lon")}
        station = CurrentStation(id=str(given["id"]), name=given["name"], data=dict(given), **place)
        station.clean_fields()
        station.save()
        enter_detail = {"name": station.name}
        enter(by=by, at=at, agency_id=None, verb="load_station", subject=station, detail=enter_detail)
    return len(stations)


def _end(sessions: models.QuerySet[UserSession]) -> int:
    ended = list(sessions)
    for session in ended:
        session.end()
    return len(ended)


def token_digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _check_signing(salt: str, iterations: int, public_key: str) -> None:
    errors: list[tuple[str, object, str]] = []
    if len(_base64(salt)) < LEAST_SALT_BYTES:
        errors.append(("salt", salt, f"base64 of at least {LEAST_SALT_BYTES} bytes"))
    if iterations < LEAST_ITERATIONS:
        errors.append(("iterations", iterations, f"{LEAST_ITERATIONS} or more"))
    try:
        Ed25519PublicKey.from_public_bytes(_base64(public_key))
    except ValueError:
        errors.append(("public_key", public_key, "base64 of an Ed25519 public key, 32 bytes"))
    if errors:
        raise Refused(*errors)


def _base64(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return b""


def _in_own_agency(by: Person | None, agency_id: Any) -> None:
    if by and by.agency_id and by.agency_id != agency_id:
        raise NotAllowed("another agency's people and things are not yours to change")


def _known(fields: Mapping[str, Any], accepted: tuple[str, ...]) -> dict[str, Any]:
    unknown = [name for name in fields if name not in accepted]
    if unknown:
        raise Refused(*((name, fields[name], "one of " + ", ".join(accepted)) for name in unknown))
    return dict(fields)


def _add(thing: Thing, action: str, by: Person | None, at: datetime) -> Thing:
    _in_own_agency(by, thing.agency_id)
    require(by, action)
    checked(thing).save(force_insert=True)
    _log(by, at, thing, f"add_{thing._meta.model_name}", _plain(thing))
    return thing


def _change(thing: Thing, fields: Mapping[str, Any], action: str, by: Person | None, at: datetime) -> Thing:
    _in_own_agency(by, thing.agency_id)
    require(by, action)
    for name, value in fields.items():
        setattr(thing, name, value)
    checked(thing).save()
    _log(by, at, thing, f"change_{thing._meta.model_name}", _plain(thing))
    return thing


def _retire(thing: Thing, action: str, by: Person | None, at: datetime) -> Thing:
    _in_own_agency(by, thing.agency_id)
    require(by, action)
    if thing.retired_at:
        raise AlreadyRetired(("", thing.name, f"something not retired already ({thing.retired_at})"))
    thing.retired_at = at
    thing.save(update_fields=["retired_at"])
    _log(by, at, thing, f"retire_{thing._meta.model_name}", {"name": thing.name})
    return thing


def _plain(thing: models.Model) -> dict[str, Any]:
    """Every field as text for the ledger: floats and decimals have no place in canonical JSON."""
    values = {field.attname: getattr(thing, field.attname) for field in thing._meta.concrete_fields}
    return {name: value if value is None or isinstance(value, bool) else str(value) for name, value in values.items()}


def _log(by: Person | None, at: datetime, subject: Any, verb: str, detail: Mapping[str, Any]) -> None:
    enter(by=by, at=at, agency_id=subject.agency_id, verb=verb, subject=subject, detail=detail)
