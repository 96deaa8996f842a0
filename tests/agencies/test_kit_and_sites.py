"""Vehicles and sites: added, changed and taken out of use by their own agency."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies import actions
from opsrisk.agencies.models import Site, Vehicle
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from tests.cast import NOON

FIGURES = {
    "name": "Heron",
    "depth_rating_m": Decimal(150),
    "tether_length_m": Decimal(200),
    "tether_diameter_mm": Decimal("7.5"),
    "thrust_n": Decimal(90),
    "drag_area_m2": Decimal("0.12"),
    "current_limit_mps": None,
    "imaging_sonar": False,
}


def add_vehicle(cast, **changes):
    return actions.add_vehicle(**({"agency": cast.agency, "by": cast.supervisor, "at": NOON} | FIGURES | changes))


def test_a_supervisor_adds_a_vehicle(cast):
    """With its figures in the ledger."""
    vehicle = add_vehicle(cast)
    assert Vehicle.objects.for_person(cast.diver).get(name="Heron") == vehicle
    assert '"thrust_n":"90"' in Entry.objects.get(verb="add_vehicle").detail


@pytest.mark.parametrize(
    "field, given",
    [
        ("name", ""),
        ("name", "Otter"),
        ("thrust_n", Decimal(-1)),
        ("thrust_n", "strong"),
        ("drag_area_m2", Decimal(0)),
        ("current_limit_mps", Decimal(0)),
        ("wings", 2),
    ],
)
def test_impossible_figures_are_refused(cast, field, given):
    """Nothing is stored, and the message says what is wrong."""
    with pytest.raises(Refused):
        add_vehicle(cast, **{field: given})
    assert Vehicle.objects.count() == 1


def test_the_database_itself_refuses_impossible_figures(cast):
    """Whatever way they come."""
    with pytest.raises(IntegrityError), transaction.atomic():
        Vehicle.objects.update(thrust_n=0)


@pytest.mark.parametrize("who", ["diver", "neighbour_supervisor", "neighbour_chief"])
def test_others_add_and_change_nothing(cast, who):
    """A member reads; a neighbour does not even that."""
    with pytest.raises(NotAllowed):
        add_vehicle(cast, by=cast.people[who])
    with pytest.raises(NotAllowed):
        actions.change_site(site=cast.site, name="Mine now", by=cast.people[who], at=NOON)
    with pytest.raises(NotAllowed):
        actions.retire_vehicle(vehicle=cast.vehicle, by=cast.people[who], at=NOON)


def test_a_retired_vehicle_is_off_the_page_and_kept(cast, as_person):
    """Old records still name it."""
    browser = as_person(cast.supervisor)
    assert b"Otter" in browser.get("/kit/").content
    assert browser.post(f"/kit/{cast.vehicle.pk}/retire/").status_code == 302
    assert b"Otter" not in browser.get("/kit/").content
    assert Vehicle.objects.get(name="Otter").retired_at
    assert browser.get(f"/kit/{cast.vehicle.pk}/").status_code == 404


def test_pages_add_and_change_a_site(cast, as_person):
    """A place has both coordinates or none."""
    browser = as_person(cast.supervisor)
    form = {"name": "Lock 4", "water": "fresh", "lat": "45.1", "lon": "-120.5", "notes": ""}
    assert browser.post("/sites/add/", form).status_code == 302
    site = Site.objects.get(name="Lock 4")
    assert browser.post(f"/sites/{site.pk}/", form | {"notes": "ladder on the left"}).status_code == 302
    site.refresh_from_db()
    assert (site.agency, site.notes) == (cast.agency, "ladder on the left")
    assert browser.post("/sites/add/", form | {"name": "Lock 5", "lat": "95"}).status_code == 422
    assert browser.post("/sites/add/", form | {"name": "Lock 5", "lat": ""}).status_code == 422
    assert not Site.objects.filter(name="Lock 5").exists()


def test_pages_add_and_change_a_vehicle(cast, as_person):
    """By the same actions."""
    browser = as_person(cast.supervisor)
    form = {name: "" if value in {None, False} else str(value) for name, value in FIGURES.items()}
    assert browser.post("/kit/add/", form).status_code == 302
    vehicle = Vehicle.objects.get(name="Heron")
    assert browser.post(f"/kit/{vehicle.pk}/", form | {"thrust_n": "95"}).status_code == 302
    vehicle.refresh_from_db()
    assert vehicle.thrust_n == 95
    assert browser.post("/kit/add/", form | {"name": "Teal", "thrust_n": "-3"}).status_code == 422
