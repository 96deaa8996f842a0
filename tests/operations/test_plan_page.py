"""The plan's page: the numbers of the current revision, each opening into what it rests on; nothing is stored."""

import html
import re

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import CurrentStation
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Operation
from tests.assessment.computing import EXAMPLES, q
from tests.assessment.planned import INPUTS
from tests.cast import NOON
from tests.operations.sending import body as sent
from tests.operations.sending import planned, received, record, send, sign, situation

FLOWING = {"value": "0.9", "unit": "kn", "how": "measured", "at": "2026-06-01T14:00:00+00:00"}
VEHICLE = {
    "available": "yes", "depth_rating": q(100, "m"), "tether_length": q(120, "m"), "thrust": q(60, "N"),
    "drag_area": q("0.09", "m2"), "tether_diameter": q(8, "mm"), "imaging_sonar": "yes",
}  # fmt: skip


def words(answer) -> str:
    return html.unescape(answer.content.decode())


@pytest.fixture
def flowing(crew):
    """One assessment at moving water with a vehicle."""
    return received(crew, situation(readings__current=FLOWING, vehicle=VEHICLE))


def page(stored) -> str:
    return f"/operations/{stored.operation_id}/plan/"


def test_shows_the_numbers_that_can_be_worked_out(crew, as_person, flowing):
    """With method, source, error and the inputs with their origin, each behind one line."""
    shown = words(as_person(crew.diver).get(page(flowing)))
    assert re.search(r"<summary><b>Vehicle holds up to 0\.\d\d kn</b>", shown)
    assert "Light for" in shown
    assert "0.2 % of the tether's pull" in shown
    assert "from the situation" not in shown
    assert "Hydrodynamic Loading on Armored Towcables" in shown
    assert "docs/computations/tether.md" in shown


def test_says_that_it_is_not_what_was_signed(crew, as_person, flowing):
    """And from which revision it comes, under the cautions of every page."""
    shown = words(as_person(crew.diver).get(page(flowing)))
    assert "revision 1" in shown
    assert "It is no part of what was signed." in shown
    assert "Decision aid only." in shown


def test_names_what_is_missing_and_asks_for_it(crew, as_person, flowing):
    """A field for each missing answer, in the agency's units."""
    shown = words(as_person(crew.diver).get(page(flowing)))
    assert "Level distance from the platform to the target" in shown
    assert 'name="tether_shape.distance"' in shown
    unit = re.search(r'name="tether_shape\.distance_unit".*?</select>', shown, re.DOTALL)[0]
    assert "<option selected>ft</option>" in unit


def test_refuses_no_stop_in_words(crew, as_person, flowing):
    """Off until adopted, with the reason."""
    assert "a named person has compared them" in words(as_person(crew.diver).get(page(flowing)))


def test_what_is_typed_becomes_a_number_with_its_picture(crew, as_person, flowing):
    """Distance typed in feet: the tether with its drawing; the address holds it, the ledger nothing."""
    browser = as_person(crew.diver)
    before = Entry.objects.count()
    asked = {"tether_shape.distance": "60", "tether_shape.distance_unit": "ft", "tether_shape.bearing": ""}
    answer = browser.get(page(flowing), asked)
    shown = words(answer)
    assert re.search(r"<b>Pay out \d+ ft; vehicle ", shown)
    assert '<title id="tether-title">' in shown
    assert 'value="60"' in shown
    assert Entry.objects.count() == before


def test_lists_are_typed_a_line_each(crew, as_person, flowing):
    """Modes, bottom and places as lines of columns in the agency's units."""
    asked = {
        "sonar_look.modes": "close work, 1200, 12, 0.1, 100, 1",
        "sonar_look.bottom": "0, 18\n40, 18",
        "sonar_look.sonar_depth": "14",
        "sonar_look.target_distance": "15",
        "sonar_look.target_height": "1",
        "sonar_look.target_width": "5",
    }
    shown = words(as_person(crew.diver).get(page(flowing), asked))
    assert "Target will show: close work" in shown
    assert '<title id="sonar-title">' in shown


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"tether_shape.distance": "far"}, "tether_shape.distance.value"),
        ({"tether_shape.distance": "60", "tether_shape.distance_unit": "furlong"}, "tether_shape.distance.unit"),
        ({"sonar_look.bottom": "0, deep\n40, 18"}, "sonar_look.bottom[0].depth.value"),
        ({"sonar_look.bottom": "0, 18, 9\n40, 18"}, "sonar_look.bottom[0].column 3"),
    ],
)
def test_what_is_typed_wrongly_is_said_by_field(crew, as_person, flowing, asked, field):
    """422, the field, what was given; the plan is worked out without it."""
    answer = as_person(crew.diver).get(page(flowing), asked)
    shown = words(answer)
    assert answer.status_code == 422
    assert f"{field}: given" in shown
    assert "Vehicle holds up to" in shown


def test_unknown_names_in_the_address_change_nothing(crew, as_person, flowing):
    """An address that somebody else made up is only an address."""
    answer = as_person(crew.diver).get(
        page(flowing), {"utm_source": "x", "lift.weight": "3", "tether_shape.bearing": "  "}
    )
    assert answer.status_code == 200


def test_the_sites_station_gives_the_window(crew, as_person, flowing):
    """The current window with its chart, from the station that the agency tied to the place."""
    actions.load_stations(stations=[EXAMPLES["station_windows"]["station"]], by=None, at=NOON)
    crew.site.station = CurrentStation.objects.get()
    crew.site.save()
    shown = words(as_person(crew.diver).get(page(flowing)))
    assert '<title id="window-title">' in shown
    assert "The prediction does not hold here" in shown or "recall" in shown


def test_a_reading_that_disagrees_voids_the_window_and_says_so(crew, as_person):
    """No tide of this station runs at 6 knots: what was measured wins, and no window is left."""
    actions.load_stations(stations=[EXAMPLES["station_windows"]["station"]], by=None, at=NOON)
    crew.site.station = CurrentStation.objects.get()
    crew.site.save()
    torrent = FLOWING | {"value": "6", "low": "5.5", "high": "6.5"}
    made = record(crew, situation(readings__current=torrent, vehicle=VEHICLE))
    send(crew, sent(made, sign(made, crew.supervisor)))
    shown = words(as_person(crew.diver).get(f"/operations/{Operation.objects.get().pk}/plan/"))
    assert "The prediction does not hold here: measured 5.50 to 6.50 kn" in shown
    assert "No usable window" in shown


def test_inputs_that_came_with_the_record_are_used(crew, as_person):
    """What the tablet planned with stands in the record, and the desk plans with the same."""
    carried = {"format": INPUTS["format"], "tether_shape": {"distance": q(60, "ft")}}
    made = record(crew, situation(readings__current=FLOWING, vehicle=VEHICLE))
    made["plan"] = planned(made["situation"], carried)
    send(crew, sent(made, sign(made, crew.supervisor)))
    shown = words(as_person(crew.diver).get(f"/operations/{Operation.objects.get().pk}/plan/"))
    assert "Pay out" in shown


def test_an_operation_without_an_assessment_has_no_plan_yet(crew, as_person):
    """It says so."""
    made = Operation.objects.create(agency=crew.agency, title="Called", kind="rescue", called_at=NOON)
    assert "No assessment yet" in words(as_person(crew.diver).get(f"/operations/{made.pk}/plan/"))


def test_names_on_the_page_stay_text(crew, as_person, flowing):
    """What is typed comes back as text, also inside a drawing."""
    asked = {"tether_shape.distance": "60", "tether_shape.obstacles": "<b>x</b>, 20, 0, 0, 10"}
    raw = as_person(crew.diver).get(page(flowing), asked).content.decode()
    assert "<b>x</b>" not in raw
    assert "&lt;b&gt;x&lt;/b&gt;" in raw


def test_reads_only(crew, as_person, flowing):
    """Nothing is posted here."""
    assert as_person(crew.supervisor).post(page(flowing)).status_code == 405


def test_another_agencys_plan_is_absent(crew, as_person, flowing):
    """As any of its things."""
    assert as_person(crew.neighbour_chief).get(page(flowing)).status_code == 404


def test_the_operation_leads_to_its_plan(crew, as_person, flowing):
    """A link on the operation's page."""
    assert page(flowing) in words(as_person(crew.diver).get(f"/operations/{flowing.operation_id}/"))
