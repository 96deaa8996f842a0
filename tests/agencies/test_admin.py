"""Set-up pages: the installer's, and by the same actions as elsewhere."""

import pytest
from django.core.cache import cache

from opsrisk.agencies.models import Agency, Person, Vehicle
from opsrisk.ledger.models import Entry
from tests.cast import PASSWORD


@pytest.fixture
def installer(cast, as_person):
    cache.clear()
    return as_person(cast.installer)


def test_the_installer_founds_an_agency_and_its_chief(installer):
    """Both are in the ledger."""
    form = {
        "name": "Holm Island Rescue",
        "slug": "holm",
        "units": "metric",
        "language": "es",
        "decimal": ",",
        "time_zone": "UTC",
    }
    assert installer.post("/admin/agencies/agency/add/", form).status_code == 302
    agency = Agency.objects.get(slug="holm")
    form = {"agency": agency.pk, "name": "Ada Wren", "email": "ada@holm.example", "role": "chief", "password": PASSWORD}
    assert installer.post("/admin/agencies/person/add/", form).status_code == 302
    assert Person.objects.get(name="Ada Wren").check_password(PASSWORD)
    assert set(Entry.objects.of_agency(agency.pk).values_list("verb", flat=True)) == {"found_agency", "enrol"}


def test_a_refusal_stands_beside_its_field(installer):
    """And nothing is stored."""
    form = {
        "name": "Holm Island Rescue",
        "slug": "holm",
        "units": "metric",
        "language": "en",
        "decimal": ".",
        "time_zone": "Noon",
    }
    answer = installer.post("/admin/agencies/agency/add/", form)
    assert answer.status_code == 200
    assert "time_zone" in answer.context["adminform"].form.errors
    assert not Agency.objects.filter(slug="holm").exists()


def test_the_list_of_people_retires(installer, cast):
    """By the action that ends sessions and tokens."""
    form = {"action": "retire", "_selected_action": [str(cast.diver.pk)]}
    assert installer.post("/admin/agencies/person/", form).status_code == 302
    cast.diver.refresh_from_db()
    assert not cast.diver.is_active
    assert Entry.objects.filter(verb="retire_person", actor=str(cast.installer.pk)).exists()


def test_kit_and_sites_are_added(installer, cast):
    """By the same actions."""
    form = {"agency": cast.agency.pk, "name": "Teal", "depth_rating_m": 50, "tether_length_m": 75}
    form |= {"tether_diameter_mm": 6, "thrust_n": 40, "drag_area_m2": "0.05"}
    assert installer.post("/admin/agencies/vehicle/add/", form).status_code == 302
    assert Vehicle.objects.filter(name="Teal").exists()
    form = {"agency": cast.agency.pk, "name": "Lock 4", "water": "fresh"}
    assert installer.post("/admin/agencies/site/add/", form).status_code == 302


@pytest.mark.parametrize("model", ["agency", "person", "vehicle", "site"])
def test_nothing_is_deleted_or_changed_there(installer, cast, model):
    """What is set up is changed by its agency, and what was is kept."""
    row = {"agency": cast.agency, "person": cast.diver, "vehicle": cast.vehicle, "site": cast.site}[model]
    assert installer.get(f"/admin/agencies/{model}/{row.pk}/change/").status_code == 200
    assert installer.post(f"/admin/agencies/{model}/{row.pk}/change/", {"name": "x"}).status_code == 403
    assert installer.post(f"/admin/agencies/{model}/{row.pk}/delete/", {"post": "yes"}).status_code == 403


@pytest.mark.parametrize("who", ["chief", "supervisor", "safety", "diver"])
def test_an_agencys_people_have_no_set_up_pages(cast, as_person, who):
    """They are the installer's."""
    answer = as_person(cast.people[who]).get("/admin/")
    assert answer.status_code in {302, 403}


def test_signing_in_there_is_the_same_as_anywhere(client, db):
    """One door, one throttle."""
    assert client.get("/admin/", follow=True).redirect_chain[-1][0].startswith("/accounts/login/")
