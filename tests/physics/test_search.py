"""Search effort: published points, searches played out on a simulated bottom, bookkeeping, refusals."""

import random
from math import exp, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.search import (
    Searcher,
    chance_of_finding,
    combined_chance,
    coverage_for,
    diver_minutes_saved,
    effort,
)
from opsrisk.reference import search as published

VEHICLE = Searcher("vehicle", speed_mps=0.3, sweep_width_m=8.0, turn_min=2.0)
DIVERS = Searcher(
    "divers", speed_mps=0.15, sweep_width_m=2.0, turn_min=1.0, in_water=1, bottom_min=25.0, between_min=15.0
)


@pytest.mark.parametrize(
    ("coverage", "at_random", "ideal"),
    [
        (0.25, 0.2212, 0.2460),
        (0.5, 0.3935, 0.4691),
        (1.0, 0.6321, 0.7899),
        (1.5, 0.7769, 0.9399),
        (2.0, 0.8647, 0.9878),
    ],
)
def test_the_curves_pass_through_their_tabulated_points(coverage, at_random, ideal):
    """Random and ideal chance at five coverages, to four digits."""
    assert chance_of_finding(coverage=coverage) == pytest.approx(at_random, abs=5e-5)
    assert chance_of_finding(coverage=coverage, law="ideal") == pytest.approx(ideal, abs=5e-5)


def test_the_ideal_curve_is_the_manuals_at_coverage_one():
    """The search manuals give 79 percent at coverage 1."""
    ideal = 100 * chance_of_finding(coverage=1.0, law="ideal")
    assert ideal == pytest.approx(published.IDEAL_AT_COVERAGE_ONE.si, abs=0.5)


@pytest.mark.parametrize("coverage", [0.5, 1.0, 2.0])
def test_a_wandering_search_played_out_finds_what_the_random_law_says(coverage):
    """Short legs strewn at random over a bottom without edges, 4,000 targets: the share found, within 3 percent."""
    chance = random.Random(int(10 * coverage))
    side, sweep, leg = 100.0, 2.0, 10.0
    legs = [
        (chance.uniform(0, side), chance.uniform(0, side)) for _ in range(round(coverage * side * side / (sweep * leg)))
    ]
    found = 0
    for _ in range(4000):
        x, y = chance.uniform(0, side), chance.uniform(0, side)
        found += any((x - a) % side <= leg and abs((y - b + side / 2) % side - side / 2) <= sweep / 2 for a, b in legs)
    assert found / 4000 == pytest.approx(chance_of_finding(coverage=coverage), abs=0.03)


@pytest.mark.parametrize("coverage", [0.5, 1.0, 1.5])
def test_parallel_sweeps_played_out_find_what_the_ideal_law_says(coverage):
    """A sensor that misses with exp(-W^2 / 4 pi x^2) at lateral distance x, 401 parallel tracks: within 2 percent."""
    chance = random.Random(7)
    sweep, found = 2.0, 0
    spacing = sweep / coverage
    for _ in range(1500):
        x = chance.uniform(0, spacing)
        missed = exp(-sum(sweep**2 / (4 * pi * (x + n * spacing) ** 2) for n in range(-200, 201)))
        found += chance.random() > missed
    assert found / 1500 == pytest.approx(chance_of_finding(coverage=coverage, law="ideal"), abs=0.03)


@given(st.floats(0.01, 0.99), st.sampled_from(["random", "ideal", "definite"]))
def test_coverage_for_a_chance_gives_that_chance(chance, law):
    """Forth and back, to a part in a million."""
    assert chance_of_finding(coverage=coverage_for(chance=chance, law=law), law=law) == pytest.approx(chance, abs=1e-6)


def test_independent_passes_multiply_their_misses():
    """0.5, 0.4 and 0.2 together find 0.76; no pass at all finds nothing."""
    assert combined_chance((0.5, 0.4, 0.2)) == pytest.approx(0.76)
    assert combined_chance(()) == 0.0


def test_effort_adds_up_by_hand():
    """80 percent over 100 by 40 m with an 8 m sweep: 9 tracks, 900 m at 0.3 m/s and 8 turns make 66 minutes."""
    found = effort(searcher=VEHICLE, length_m=100, width_m=40, chance=0.8)
    assert found.tracks == 9
    assert found.spacing_m == pytest.approx(40 / 9)
    assert found.minutes == pytest.approx(9 * 100 / 0.3 / 60 + 8 * 2)
    assert found.coverage == pytest.approx(1.8)
    assert found.chance >= 0.8
    assert found.dives == 0


def test_divers_need_whole_dives_and_the_changes_between_them():
    """The same by divers: 33 tracks, 399 minutes moving, 16 dives with 15 changes of 15 minutes."""
    found = effort(searcher=DIVERS, length_m=100, width_m=40, chance=0.8)
    moving = 33 * 100 / 0.15 / 60 + 32
    assert found.tracks == 33
    assert found.dives == 16
    assert found.minutes == pytest.approx(moving + 15 * 15)
    assert found.diver_minutes == pytest.approx(moving)


def test_what_the_vehicle_saves_is_the_divers_minutes():
    """A vehicle puts nobody in the water, so it saves all of them."""
    vehicle, divers, saved = diver_minutes_saved(vehicle=VEHICLE, divers=DIVERS, length_m=100, width_m=40, chance=0.8)
    assert saved == divers.diver_minutes
    assert vehicle.minutes < divers.minutes


@given(st.floats(0.05, 0.9), st.floats(1.05, 1.9), st.sampled_from(["random", "ideal", "definite"]))
def test_a_better_chance_never_takes_less(chance, factor, law):
    """More chance needs as many tracks or more."""
    more = min(0.99, chance * factor)
    less = effort(searcher=VEHICLE, length_m=100, width_m=60, chance=chance, law=law)
    assert effort(searcher=VEHICLE, length_m=100, width_m=60, chance=more, law=law).tracks >= less.tracks


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: chance_of_finding(coverage=-0.1), "coverage"),
        (lambda: chance_of_finding(coverage=1, law="hopeful"), "law"),
        (lambda: coverage_for(chance=1.0), "chance"),
        (lambda: combined_chance((0.5, 1.2)), "chance"),
        (lambda: effort(searcher=VEHICLE, length_m=0, width_m=10, chance=0.5), "length_m"),
        (lambda: effort(searcher=VEHICLE, length_m=10, width_m=9999, chance=0.5), "width_m"),
        (lambda: Searcher("x", speed_mps=0, sweep_width_m=2), "speed_mps"),
        (lambda: Searcher("x", speed_mps=0.2, sweep_width_m=0), "sweep_width_m"),
        (lambda: Searcher("x", speed_mps=0.2, sweep_width_m=2, bottom_min=0), "bottom_min"),
    ],
)
def test_what_makes_no_search_is_refused(call, argument):
    """A chance of one, a law nobody knows, a searcher that does not move: refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == argument
