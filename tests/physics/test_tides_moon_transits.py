"""Against the real moon: where it stands decides the sign of the lunar terms, whatever a table says."""

from cmath import exp, phase
from datetime import UTC, datetime
from math import degrees, radians

import pytest

from opsrisk.physics.equilibrium import argument_deg, node, node_formulas, sky

pytestmark = pytest.mark.filterwarnings("ignore:The file finals2000A.all has expired")  # polar motion plays no part

api = pytest.importorskip("skyfield.api", reason="skyfield is installed for tests only")
skyfield_data = pytest.importorskip("skyfield_data", reason="the ephemeris comes with skyfield-data")


@pytest.fixture(scope="module")
def transits():
    """The moon's upper transits at Greenwich in 2026, from an ephemeris."""
    from skyfield import almanac

    loader = api.Loader(skyfield_data.get_skyfield_data_path())
    bodies, scale = loader("de421.bsp"), loader.timescale(builtin=True)
    greenwich = api.wgs84.latlon(51.4779, 0.0)
    crossing = almanac.meridian_transits(bodies, bodies["Moon"], greenwich)
    times, kinds = almanac.find_discrete(scale.utc(2026, 1, 1), scale.utc(2027, 1, 1), crossing)
    upper = [t.utc_datetime() for t, kind in zip(times, kinds, strict=True) if kind == 1]
    assert len(upper) > 340
    return upper


def mean_phase_deg(name, instants):
    total = 0j
    for at in instants:
        where = sky(at)
        total += exp(1j * radians(argument_deg(name, where) + node(name, node_formulas(where)).u_deg))
    return degrees(phase(total))


@pytest.mark.parametrize("name", ["M2", "M3"])
def test_a_lunar_term_peaks_when_the_moon_is_highest(name, transits):
    """At the moon's upper transits M2 and M3 stand at their peak on the average of a year: not at the opposite."""
    assert mean_phase_deg(name, transits) == pytest.approx(0, abs=3)


def test_the_solar_term_peaks_at_noon():
    """S2 stands at its peak at noon and at midnight at Greenwich, by definition."""
    assert argument_deg("S2", sky(datetime(2026, 6, 1, 12, tzinfo=UTC))) == pytest.approx(0, abs=1e-6)
