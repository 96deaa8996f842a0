"""The sonar's modes in the kit: typed one a line, kept as the computation takes them, refused by their field."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import Vehicle
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.sonar_modes import as_lines, from_lines
from opsrisk.assessment.computations.registry import compute
from tests.assessment.computing import example
from tests.cast import NOON

LINES = "overview, 1200, 20, 0.25, 30, 0.5\ndetail, 2100, 20, 0.1, 10"
FIGURES = {
    "name": "Grebe", "depth_rating_m": "90", "tether_length_m": "100", "tether_diameter_mm": "8", "thrust_n": "60",
    "drag_area_m2": "0.1", "current_limit_mps": "", "imaging_sonar": "on",
}  # fmt: skip


def test_lines_become_what_the_computation_takes():
    """And back, letter for letter."""
    modes = from_lines(LINES)
    assert as_lines(modes) == LINES
    assert compute("sonar_look", example("sonar_look") | {"modes": modes})["answers"]


def test_the_desk_keeps_the_modes_of_a_vehicle(cast, as_person):
    """Typed on the kit page, shown there, offered again for a change."""
    client = as_person(cast.supervisor)
    answer = client.post("/kit/add/", FIGURES | {"sonar_modes": LINES})
    assert answer.status_code == 302, answer.content.decode()[:2000]
    kept = Vehicle.objects.get(name="Grebe")
    assert kept.sonar_modes == from_lines(LINES)
    assert "overview, 1200 kHz, to 30 m" in client.get("/kit/").content.decode()
    assert "detail, 2100, 20, 0.1, 10" in client.get(f"/kit/{kept.pk}/").content.decode()


@pytest.mark.parametrize(
    "lines, field",
    [
        ("overview, 1200, 20, 0.25", "modes[0].greatest_range"),
        ("overview, 5, 20, 0.25, 30", "modes[0].frequency"),
        ("overview, fast, 20, 0.25, 30", "modes[0].frequency"),
        ("overview, 1200, 20, 0.25, 30, 0.5, 7", "modes[0].column 7"),
    ],
)
def test_a_wrong_mode_is_refused_by_its_field(cast, as_person, lines, field):
    """On the page and by the action; nothing is kept."""
    answer = as_person(cast.supervisor).post("/kit/add/", FIGURES | {"sonar_modes": lines})
    assert answer.status_code != 302
    assert field in answer.content.decode()
    assert not Vehicle.objects.filter(name="Grebe").exists()
    with pytest.raises(Refused) as refused:
        actions.change_vehicle(vehicle=cast.vehicle, sonar_modes=from_lines(lines), by=cast.supervisor, at=NOON)
    assert refused.value.errors[0][0] == "sonar_modes"
