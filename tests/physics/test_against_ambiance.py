"""Air pressure at altitude against another program of the same standard: it checks transcription, not the air."""

import pytest

from opsrisk.physics.water import altitude_pressure_pa
from tests.physics.oracles import maker

PASCAL = 1.0


@pytest.mark.parametrize("altitude_m", [-480, -13, 0, 7, 123, 333.3, 1609.344, 2500, 3776, 4999])
def test_pressure_at_altitude(altitude_m):
    """Within 0.001 Pa above the sea; within 0.05 Pa below it, where that program starts from a rounded figure."""
    expected = maker("make_water").air_case(float(altitude_m))["expected"]["pressure_pa"]
    tolerance = (0.001 if altitude_m >= 0 else 0.05) * PASCAL
    assert altitude_pressure_pa(altitude_m=altitude_m) == pytest.approx(expected, abs=tolerance)
