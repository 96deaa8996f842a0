"""Against the yearly equilibrium arguments and node factors of Debian's xtide-data, 1975 to 2050."""

from datetime import UTC, datetime, timedelta
from math import atan2, degrees

import pytest

from opsrisk.physics.equilibrium import argument_deg, node, node_formulas, sky
from opsrisk.reference.current import ARGUMENTS
from tests.physics.frozen import oracle

CASES = oracle("equilibrium_arguments")["cases"]
# The file builds on mean longitudes of 1900, which run 0.02 degrees a cycle of the moon away from modern ones.
DEGREES_PER_MOON_CYCLE = 0.03
DEGREES = 0.03
FACTOR = 0.0003


@pytest.mark.parametrize("name", sorted(ARGUMENTS))
def test_argument_and_node_factor_are_those_of_the_yearly_file(name):
    """V on 1 January with u and f at midyear is what the public yearly file says, every constituent, 14 years."""
    cases = [case for case in CASES if case["inputs"]["constituent"] == name]
    assert len(cases) == 14

    for case in cases:
        new_year = datetime(case["inputs"]["year"], 1, 1, tzinfo=UTC)
        midyear = new_year + (datetime(case["inputs"]["year"] + 1, 1, 1, tzinfo=UTC) - new_year) / 2
        at_midyear = node(name, node_formulas(sky(midyear)))
        published = degrees(atan2(*reversed(case["expected"]["argument"])))
        difference = argument_deg(name, sky(new_year)) + at_midyear.u_deg - published
        cycles = abs(ARGUMENTS[name].moon)
        assert abs((difference + 180) % 360 - 180) <= DEGREES + DEGREES_PER_MOON_CYCLE * cycles, new_year
        assert at_midyear.f == pytest.approx(case["expected"]["node_factor"], abs=FACTOR), new_year


def test_every_constituent_of_the_file_is_known():
    """No constituent of the stations is without a check, and none is checked that no station has."""
    assert {case["inputs"]["constituent"] for case in CASES} == set(ARGUMENTS)


def test_the_third_of_a_day_term_is_one_and_a_half_times_m2():
    """M3 is the third-degree term of the moon: V(M3) = 3/2 V(M2) with V taken from the moon's hour angle."""
    at = datetime(2026, 11, 25, 3, tzinfo=UTC)
    for hours in range(0, 700, 7):
        where = sky(at + timedelta(hours=hours))
        moon_hour_angle = where.sun_hour - where.moon + where.sun
        assert (3 * moon_hour_angle - argument_deg("M3", where) + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
