"""Water against TEOS-10, another equation of state by other authors, run now."""

import pytest

from opsrisk.physics.water import SALT_KGPM3, pressure_at_depth_pa, sound_speed_mps, water_density_kgpm3
from tests.physics.oracles import frozen, maker

CASES = [
    (t, s, d)
    for t in (0.0, 3.0, 7.0, 14.0, 22.0, 30.0)
    for s in (0.0, 10.0, 30.0, 35.0)
    for d in (0.5, 5.0, 20.0, 50.0)
]
KG_PER_M3 = 1.0
M_PER_S = 1.0


@pytest.fixture(scope="module")
def oracle():
    return maker("make_water")


@pytest.mark.parametrize(("temperature", "salinity", "depth"), CASES)
def test_water_agrees_with_the_full_equation_of_state(oracle, temperature, salinity, depth):
    """Density within 0.006 kg/m3, sound within 0.8 m/s, gauge pressure in sea water within 0.32 percent."""
    expected = oracle.water_case(temperature, salinity, depth)["expected"]
    density = water_density_kgpm3(temperature_c=temperature, salinity=salinity)
    sound = sound_speed_mps(temperature_c=temperature, salinity=salinity, depth_m=depth)
    assert density == pytest.approx(expected["density_kgpm3"], abs=0.006 * KG_PER_M3)
    assert sound == pytest.approx(expected["sound_speed_mps"], abs=0.8 * M_PER_S)
    if salinity >= 35:
        gauge = pressure_at_depth_pa(depth_m=depth, density_kgpm3=SALT_KGPM3) - 101325
        assert gauge == pytest.approx(expected["gauge_pa"], rel=0.0032)


def test_the_frozen_answers_are_what_the_program_says_today(oracle):
    """Every tenth frozen case comes out of the installed program again."""
    for case in frozen("water_gsw")["cases"][::10]:
        again = oracle.water_case(*case["inputs"].values())
        assert again["expected"] == pytest.approx(case["expected"])
