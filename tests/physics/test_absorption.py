"""Absorption of sound against the fuller formula of 1982, and where nobody measured."""

import pytest

from opsrisk.physics.absorption import absorption_db_per_km
from opsrisk.physics.ranges import OutOfRange
from tests.physics.oracles import frozen, maker

USUAL = {"frequency_khz": 1200.0, "temperature_c": 10.0, "salinity": 35.0, "depth_m": 10.0}


@pytest.mark.parametrize(
    "case", frozen("absorption_1982")["cases"], ids=lambda case: str(tuple(case["inputs"].values()))
)
def test_it_agrees_with_the_full_formula(case):
    """Within 9 percent from 50 to 1,000 kHz, fresh to sea water: both authors fitted the same measurements."""
    assert absorption_db_per_km(**case["inputs"]) == pytest.approx(case["expected"]["db_per_km"], rel=0.09)


def test_the_full_formula_has_no_jump_at_twenty_degrees():
    """Its two fits meet at 20 C within 0.2 percent, which transcriptions with wrong digits do not."""
    full = maker("make_absorption").francois_garrison_db_per_km
    assert full(1000, 20.0, 0.0, 1.0) == pytest.approx(full(1000, 20.0001, 0.0, 1.0), rel=2e-3)


def test_a_published_value_in_the_deep():
    """Fisher and Simmons print 0.52 dB/km for 10 kHz at 5 C and 500 atmospheres; ours, to 1,000 m, is on the way there."""
    shallow = absorption_db_per_km(frequency_khz=10, temperature_c=5, salinity=35, depth_m=0)
    deep = absorption_db_per_km(frequency_khz=10, temperature_c=5, salinity=35, depth_m=1000)
    assert 0.52 < deep < shallow < 1.3


def test_salt_takes_more_than_fresh_water_and_high_notes_more_than_low():
    """Sea water absorbs more than fresh at any mode, and twice the frequency over three times as much at the top."""
    assert absorption_db_per_km(**USUAL) > absorption_db_per_km(**USUAL | {"salinity": 0.0})
    assert absorption_db_per_km(**USUAL | {"frequency_khz": 2400.0}) > 3 * absorption_db_per_km(**USUAL)


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("frequency_khz", 0.0),
        ("frequency_khz", 3001),
        ("temperature_c", -1),
        ("salinity", 50),
        ("depth_m", -1),
        ("ph", 10),
    ],
)
def test_outside_its_range_it_refuses(argument, value):
    """What the authors did not cover is refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        absorption_db_per_km(**USUAL | {argument: value})
    assert refusal.value.argument == argument
