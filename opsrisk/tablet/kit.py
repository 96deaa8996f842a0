"""What a tablet takes along: people, places, vehicles and the protocol in force of one agency."""

from datetime import datetime
from typing import Any

from django.db.models import Prefetch

from opsrisk.agencies.models import CurrentStation, Person, Qualification, Site, Vehicle
from opsrisk.agencies.papers import MEDICAL, examinations
from opsrisk.agencies.permissions import of
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force

VEHICLE_NUMBERS = (
    "depth_rating_m",
    "tether_length_m",
    "tether_diameter_mm",
    "thrust_n",
    "drag_area_m2",
    "current_limit_mps",
)
ON_THE_TABLET = ("decide", "second", "sign", "send_record")


def session_document(person: Person, token: str, at: datetime) -> dict[str, Any]:
    """Who is signed in, a token against forged requests, and the server's time."""
    return {
        "person": _named(person),
        "agency": agency_document(person),
        "csrf": token,
        "now": at.isoformat(timespec="milliseconds"),
    }


def agency_document(person: Person) -> dict[str, Any]:
    agency = person.agency
    assert agency is not None  # noqa: S101 - the view lets nobody in without one
    shown = {name: getattr(agency, name) for name in ("name", "units", "language", "decimal", "time_zone")}
    return {"id": str(agency.pk), **shown}


def kit_document(person: Person, at: datetime) -> dict[str, Any]:
    """Everything that a day without a network needs, of this person's agency only."""
    agency = person.agency
    assert agency is not None  # noqa: S101 - the view lets in people of an agency only
    sites = list(
        Site.objects.for_person(person).filter(retired_at__isnull=True).select_related("station").order_by("name")
    )
    vehicles = Vehicle.objects.for_person(person).filter(retired_at__isnull=True).order_by("name")
    protocol = protocol_in_force(agency, at)
    noted = examinations(person).values()  # only of those whom this person may know about
    lapsed = {row.person_id for row in noted if row.valid_until < at.date()}
    return {
        "person": _named(person),
        "agency": agency_document(person),
        "roster": [roster_entry(one, at, medical_lapsed=one.pk in lapsed) for one in roster(person)],
        "sites": [_site(site) for site in sites],
        "stations": {site.station.pk: _station(site.station) for site in sites if site.station},
        "vehicles": [_vehicle(vehicle) for vehicle in vehicles],
        # An altered document is not sent: a tablet without a protocol decides nothing.
        "protocol": _protocol(protocol) if protocol and not protocol.altered else None,
    }


def roster(person: Person) -> list[Person]:
    """Active colleagues, with what they are qualified for."""
    held = Prefetch("qualifications", Qualification.objects.order_by("kind"))
    return list(Person.objects.for_person(person).filter(is_active=True).prefetch_related(held).order_by("name"))


def roster_entry(person: Person, at: datetime, *, medical_lapsed: bool = False) -> dict[str, Any]:
    """One colleague: papers, and what checks the signature. Nothing here makes a signature.

    A medical examination is told only where it has lapsed: what is current goes into signed records, and it has no
    business there.
    """
    lapsed = [{"kind": "medical_examination", "label": MEDICAL, "current": False}] if medical_lapsed else []
    return _named(person) | {
        "may": sorted(of(person) & set(ON_THE_TABLET)),
        "qualifications": [
            {
                "kind": one.kind,
                "label": one.kind.replace("_", " "),
                "current": one.expires is None or one.expires >= at.date(),
            }
            for one in person.qualifications.all()
        ]
        + lapsed,
        "signing": {
            "salt": person.signing_salt,
            "iterations": person.signing_iterations,
            "public_key": person.signing_public_key,
        },
    }


def _named(person: Person) -> dict[str, str]:
    return {"id": str(person.pk), "name": person.name, "role": person.role}


def _text(value: Any) -> str | None:
    return None if value is None else str(value)


def _site(site: Site) -> dict[str, Any]:
    place = {name: _text(getattr(site, name)) for name in ("lat", "lon", "altitude_m")}
    return {
        "id": str(site.pk),
        "name": site.name,
        "water": site.water,
        **place,
        "station": site.station_id,
        "notes": site.notes,
    }


def _station(station: CurrentStation) -> dict[str, Any]:
    return dict(station.data)


def _vehicle(vehicle: Vehicle) -> dict[str, Any]:
    numbers = {name: _text(getattr(vehicle, name)) for name in VEHICLE_NUMBERS}
    sonar = {"imaging_sonar": vehicle.imaging_sonar, "sonar_modes": vehicle.sonar_modes}
    return {"id": str(vehicle.pk), "name": vehicle.name, **sonar, **numbers}


def _protocol(protocol: ProtocolVersion) -> dict[str, Any]:
    effective = protocol.effective_from.isoformat() if protocol.effective_from else None
    return {
        "id": protocol.protocol_id,
        "version": protocol.version,
        "digest": protocol.digest,
        "effective_from": effective,
        "document": protocol.text(),
    }
