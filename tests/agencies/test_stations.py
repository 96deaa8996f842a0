"""Current stations: loaded once, found by name or nearness."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.nearby import distance_km, stations
from opsrisk.agencies.permissions import NotAllowed
from tests.cast import NOON

GIVEN = [
    {"id": "TAR01@5", "name": "Tarrow Narrows", "lat": "45.00000", "lon": "-120.00000"},
    {"id": "TAR02", "name": "Ellmere Bar", "lat": "46.00000", "lon": "-120.00000"},
    {"id": "TAR03", "name": "Far Sound", "lat": "10.00000", "lon": "179.90000"},
]


@pytest.fixture
def loaded(cast):
    assert actions.load_stations(stations=GIVEN, by=None, at=NOON) == 3


def test_loading_twice_keeps_one_of_each(loaded, cast):
    """A newer selection replaces what it names."""
    actions.load_stations(stations=[GIVEN[0] | {"name": "Tarrow Narrows, mid"}], by=None, at=NOON)
    assert [found.station.name for found in stations()] == ["Ellmere Bar", "Far Sound", "Tarrow Narrows, mid"]


def test_an_agency_loads_no_stations(cast):
    """They belong to the whole installation."""
    with pytest.raises(NotAllowed):
        actions.load_stations(stations=GIVEN, by=cast.chief, at=NOON)


def test_nearest_come_first_with_their_distance(loaded):
    """One degree of latitude is about 111 km."""
    first, second, _ = stations(lat=45.1, lon=-120.0)
    assert (first.station.pk, second.station.pk) == ("TAR01@5", "TAR02")
    assert first.km == pytest.approx(11.1, abs=0.1)
    assert second.km == pytest.approx(100.1, abs=0.2)


def test_the_shortest_way_may_cross_the_date_line(loaded):
    """179.9 E is near 179.9 W."""
    assert stations(lat=10.0, lon=-179.9)[0].station.pk == "TAR03"
    assert distance_km(0, 179.9, 0, -179.9) == pytest.approx(22.2, abs=0.1)


def test_a_part_of_the_name_is_enough(loaded, cast, as_person):
    """On the site page, in any case."""
    answer = as_person(cast.supervisor).get("/sites/stations/", {"q": "ELLMERE"})
    assert b"Ellmere Bar" in answer.content
    assert b"Tarrow Narrows" not in answer.content


@pytest.mark.parametrize("place", [{"lat": "x", "lon": "1"}, {"lat": "95", "lon": "1"}])
def test_a_bad_place_is_taken_for_none(loaded, cast, as_person, place):
    """The list still comes, by name."""
    assert as_person(cast.supervisor).get("/sites/stations/", place).status_code == 200
