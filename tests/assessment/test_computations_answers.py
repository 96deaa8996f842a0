"""What single computations answer, each against its published figure, closed form or the physics called directly."""

import json
from datetime import datetime, timedelta

import pytest

from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import compute
from opsrisk.physics.cylinder import Cylinder
from opsrisk.physics.gas import Water, ascent_gas_l, plan_gas
from opsrisk.physics.holding import holding_limit
from opsrisk.physics.no_stop import DIGEST
from opsrisk.physics.station import Station
from opsrisk.physics.window import windows
from tests.assessment.computing import ADOPTED, answers, example, q, value


def refused(name, **changes):
    with pytest.raises(ComputationRefused) as caught:
        compute(name, json.dumps(example(name, **changes)))
    return caught.value.errors


def test_turn_pressure_is_the_physics_rounded_up():
    """Same cylinder, same rule, and never a bar less than computed."""
    water = Water(1000.0)
    ascent = ascent_gas_l(depth_m=12, ascent_m_per_min=9.144, rate_lpm=39.6, water=water, sharing=2, delay_min=1)
    plan = plan_gas(
        cylinder=Cylinder(12, 200, 12), reserve_bar=50, rate_lpm=39.6, depth_m=12, water=water, way_back_min=3,
        ascent_l=ascent,
    )  # fmt: skip
    found = answers("turn_pressure")
    assert 0 <= float(found["turn"]["value"]) - plan.turn_bar < 1
    assert 0 <= plan.task_min - float(found["task"]["value"]) < 1


def test_a_warm_fill_shows_less_in_cold_water():
    """25 C on deck, 6 C below: a tenth of the gauge is gone before the dive."""
    assert int(value("cylinder", "cooled")) == 181


def test_holding_limit_is_the_physics_rounded_down():
    """In the worst direction, never a hundredth more than computed."""
    limit = holding_limit(
        thrust_n=130, drag_area_m2=0.09, tether_diameter_m=0.0076, tether_out_m=60, depth_m=10, density_kgpm3=1025
    )
    assert 0 <= limit.current_mps * 3600 / 1852 - float(value("holding_limit", "current")) < 0.01


def test_station_windows_are_usable_inside_what_was_found():
    """To the minute, on the careful side: later at the start, earlier at the end, recall before it."""
    given = example("station_windows")
    start = datetime.fromisoformat(given["start"])
    found = windows(Station.from_document(given["station"]), limit_mps=0.5 * 1852 / 3600, start=start, hours=14)
    rows = answers("station_windows")["windows"]["rows"]
    assert len(rows) == len(found)
    for row, window in zip(rows, found, strict=True):
        opens, closes, recall = (
            datetime.fromisoformat(row[name]) for name in ("usable_starts", "usable_ends", "recall")
        )
        assert timedelta() <= opens - window.usable_starts < timedelta(minutes=1)
        assert timedelta() <= window.usable_ends - closes < timedelta(minutes=1)
        assert closes - recall >= timedelta(minutes=5)
        assert opens.utcoffset() == start.utcoffset()


def test_a_reading_over_the_limit_closes_the_window_it_stands_in():
    """Measured at the start and over the limit: the window does not open on the forecast's word."""
    at = answers("station_windows")["windows"]["rows"][0]["usable_starts"]
    found = answers("station_windows", start=at, measured=q(0.9, "kn", low=0.1, high=1.2))
    assert found["said"]["value"].startswith("The reading agrees")
    assert found["windows"]["rows"][0]["usable"] == "0"
    assert found["windows"]["rows"][0]["usable_starts"] is None


def test_a_reading_that_nothing_explains_voids_the_windows():
    """No window at all, and the answer says so."""
    found = answers("station_windows", measured=q(7, "kn", low=6.8, high=7.2))
    assert "does not hold" in found["said"]["value"]
    assert found["windows"]["rows"] == []


def test_rested_divers_decide_how_many_dives_fit():
    """Two divers with an hour's rest fit fewer than a window alone."""
    long = {"limit": q(1, "kn"), "dive_time": q(12, "min"), "between": q(3, "min")}
    by_two = answers("station_windows", **long)["windows"]["rows"][0]
    by_many = answers("station_windows", **long, divers="20")["windows"]["rows"][0]
    assert int(by_two["dives"]) < int(by_many["dives"])


def test_river_window_ends_before_the_release_can_arrive():
    """Released at 10:00, 80 minutes away: usable until a quarter of that earlier."""
    row = answers("river_windows")["windows"]["rows"][0]
    assert row["usable_ends"] == "2026-11-25T11:00-05:00"


def test_typed_table_needs_speeds():
    """A flood without its speed is refused by its field."""
    turns = example("table_windows")["turns"]
    turns[0].pop("speed")
    assert refused("table_windows", turns=turns)[0][0] == "turns"


def test_sonar_says_how_to_see_into_the_hollow():
    """Behind the rim nothing shows; from the depth that it names, the same target will show."""
    found = answers("sonar_look")
    assert (found["verdict"]["value"], found["why"]["value"]) == ("hidden", "in the shadow")
    rise = found["see_in_from"]["value"]
    assert value("sonar_look", "verdict", sonar_depth=q(rise, "m")) == "will show"


def test_sonar_on_a_flat_bottom_shows_and_picks_the_finer_mode():
    """Two modes in range: the one with the finer detail, tilted at the target."""
    flat = [{"distance": q(0, "m"), "depth": q(11, "m")}, {"distance": q(40, "m"), "depth": q(11, "m")}]
    found = answers("sonar_look", bottom=flat)
    assert found["verdict"]["value"] == "will show"
    assert found["mode"]["value"] == "close work"
    assert float(found["tilt_from"]["value"]) <= float(found["tilt"]["value"]) <= float(found["tilt_to"]["value"])


def test_sonar_between_two_beams_may_show():
    """A target narrower than two beams is a dot: nobody promises that it shows."""
    flat = [{"distance": q(0, "m"), "depth": q(11, "m")}, {"distance": q(90, "m"), "depth": q(11, "m")}]
    far = {"bottom": flat, "target_distance": q(25, "m"), "target_width": q(5, "cm")}
    assert value("sonar_look", "verdict", **far) == "may show"


def test_search_saves_the_divers_minutes():
    """The divers' minutes under water, less the vehicle's none."""
    found = answers("search_effort")
    assert abs(float(found["saved"]["value"]) - float(found["diver_minutes"]["value"])) <= 1
    assert len(found["pattern"]["rows"]) == int(found["vehicle_tracks"]["value"])
    assert "does not reach" in found["advice"]["value"]
    assert "does not reach" not in answers("search_effort", tether=q(80, "m"))["advice"]["value"]


def test_tracks_are_run_to_and_fro_inside_the_area():
    """Each begins where the last one ended, and none lies outside."""
    rows = answers("search_effort")["pattern"]["rows"]
    assert [row["starts"] for row in rows[1:]] == [row["ends"] for row in rows[:-1]]
    assert all(0 < float(row["across"]) < 40 for row in rows)


def test_a_sheared_profile_and_its_obstacle():
    """The piling beside the line is named with its distance once the line comes within the clearance."""
    near = [{"name": "piling", "along": q(14, "m"), "aside": q(-3, "m"), "depth": q(0, "m"), "to_depth": q(9, "m")}]
    assert answers("tether_shape", obstacles=near, clearance=q(10, "m"))["snags"]["rows"][0]["obstacle"] == "piling"
    assert answers("tether_shape", obstacles=near, clearance=q(0, "m"))["snags"]["rows"] == []


def test_an_overcome_vehicle_does_not_hold():
    """More current than thrust: the answer is no, over a hundred percent."""
    found = answers("tether_shape", profile=None, current=q(3, "kn"))
    assert found["holds"]["value"] == "no"
    assert float(found["share"]["value"]) > 100


def test_a_tether_too_short_is_refused_by_its_field():
    """Nothing is stretched: the length that would do is named."""
    assert refused("tether_shape", tether_out=q(20, "m"))[0][0] == "tether_out"


def test_no_current_at_all_is_refused_for_the_tether():
    """Neither one speed nor a profile: the profile is asked for."""
    assert refused("tether_shape", profile=None)[0][0] == "profile"


def test_best_side_is_none_where_none_holds():
    """The least bad place is no advice."""
    assert value("launch_side", "best", current=q(8, "kn")) == "none of them"
    assert value("launch_side", "best") == "boat up-current"


@pytest.mark.parametrize("adoption", [None, ADOPTED | {"person": " "}, ADOPTED | {"digest": DIGEST[::-1]}])
def test_no_stop_is_refused_until_adopted(adoption):
    """Nobody named, or other tables than these: no answer, in words."""
    document = example("no_stop", adoption=adoption)
    with pytest.raises(ComputationRefused) as caught:
        compute("no_stop", json.dumps(document))
    assert caught.value.errors[0][0] == "adoption"


def test_no_stop_after_an_earlier_dive():
    """The published repetitive dive: H at 50 fsw, F after 1:50, and 50 minutes left there."""
    earlier = [{"depth": q(50, "fsw"), "bottom_time": q(55, "min"), "interval": q(110, "min")}]
    found = answers("no_stop", earlier=earlier, depth=q(50, "fsw"))
    assert found["group"]["value"] == "F"
    assert found["left"]["value"] == "50"
    assert "printed pages were not seen" in found["caveat"]["value"]


def test_no_stop_depth_in_feet_is_its_own_row():
    """60 ft is the row of 60 and not of 70, whatever the float of 60 times 0.3048 is."""
    assert answers("no_stop", earlier=None, depth=q(60, "ft"), units="us")["row"]["value"] == "60"
    assert answers("no_stop", earlier=None, depth=q("60.1", "ft"), units="us")["row"]["value"] == "70"


def test_no_stop_beyond_the_table_is_refused():
    """Not extrapolated."""
    assert refused("no_stop", earlier=None, depth=q(250, "ft"))[0][0] == "depth"
    assert refused("no_stop", altitude=q(11000, "ft"))[0][0] == "altitude"
    long = [{"depth": q(60, "fsw"), "bottom_time": q(70, "min"), "interval": q(60, "min")}]
    assert refused("no_stop", earlier=long)[0][0] == "earlier"


def test_an_adoption_needs_a_day():
    """A day that is none is refused."""
    assert refused("no_stop", adoption=ADOPTED | {"on": "yesterday"})[0][0] == "adoption"


def test_submersion_window_is_not_settled_between_its_ends():
    """Both ends are said, and what would settle it."""
    found = answers("rescue_window", minutes_under=q(30, "min", low=20, high=40))
    assert found["answer"]["value"] == "not settled"
    assert found["settle_by"]["value"] == "when the person went under"
    nothing = answers("rescue_window", minutes_under=None, water_temperature=None)
    assert nothing["answer"]["value"] == "not settled"


def test_published_cold_and_heat():
    """The chart's cells: 0 F and 15 mph gives -19 F; 90 F at 70 percent gives 106 F."""
    assert value("wind_chill", "chill", units="us") == "-20"  # -19.4 F, rounded to the colder side
    assert value("heat_index", "heat", units="us") == "106"


def test_daylight_counts_down_to_the_printed_dusk():
    """Minutes left from the hour asked to the dusk it names, a minute at most less."""
    found = answers("daylight")
    dusk = datetime.fromisoformat(found["dusk"]["value"])
    left = (dusk - datetime.fromisoformat(example("daylight")["at"])).total_seconds() / 60
    assert 0 <= left + 1 - float(found["left"]["value"]) <= 1


def test_pressure_difference_on_a_ten_inch_pipe():
    """The published worked force: 1,700 lbf at 50 ft."""
    assert 1696 <= int(value("pressure_difference", "force", units="us")) <= 1704
    assert refused("pressure_difference", area=None)[0][0] == "flow"
    assert "force" not in answers("pressure_difference", area=None, flow=q(0.5, "m3/s"))


def test_ice_table_row():
    """Six inches clear and two white carry as seven clear: 2,450 lb."""
    assert value("ice", "bears", units="us") == "2450"
    assert value("ice", "carries", load=q(3000, "lb")) == "no"


def test_lift_example_as_published():
    """50 kg that displaces 20 L in sea water weighs 29.4 to 29.5 kg and takes about as many litres."""
    found = answers("lift", mass=q(50, "kg"), displaced=q(20, "L"), material=None, mud="0")
    assert float(found["weight"]["value"]) == pytest.approx(29.45, abs=0.1)
    assert refused("lift", material=None)[0][0] == "displaced"


def test_crew_names_the_missing_position():
    """Two divers' posts, one fit diver: which post stays empty and who is there for it."""
    found = answers("crew_cover")
    assert found["covered"]["value"] == "no"
    assert found["missing"]["value"] == "standby diver"
    assert found["shortfalls"]["rows"][0]["people"] == "Tomas Quill"


def test_crew_refuses_one_person_twice():
    """An id names one person."""
    people = example("crew_cover")["people"]
    assert refused("crew_cover", people=[*people, people[0]])[0][0] == "people"
