"""How much air a cylinder really holds: real gas, by pressure and temperature.

Litres are free litres: at one atmosphere and the cylinder's temperature. Pressures are gauge readings unless
said to be absolute. An ideal gas would flatter a cylinder by 2.6 percent at 200 bar and by 10 percent at 300.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.water import SEA_LEVEL_PA
from opsrisk.reference import gas as published

ATMOSPHERE_BAR = SEA_LEVEL_PA / 1e5
GREATEST_BAR = 298.0

_PRESSURES = published.COMPRESSIBILITY.column("pressure")
_TEMPERATURES = tuple(float(name) for name, _ in published.COMPRESSIBILITY.columns[1:])
_Z = tuple(published.COMPRESSIBILITY.column(name) for name, _ in published.COMPRESSIBILITY.columns[1:])


@dataclass(frozen=True)
class Cylinder:
    """Water volume in litres of all cylinders together, gauge pressure in bar, gas temperature in C."""

    volume_l: float
    pressure_bar: float
    temperature_c: float = 10.0

    def __post_init__(self) -> None:
        within("volume_l", self.volume_l, 0.1, 10_000.0, "L")
        within("pressure_bar", self.pressure_bar, 0.0, GREATEST_BAR, "bar")
        within("temperature_c", self.temperature_c, -10.0, 50.0, "C")


def compressibility(*, pressure_bar: float, temperature_c: float) -> float:
    """Z of air at an absolute pressure of 0 to 300 bar and -10 to 50 C, within 0.07 percent. Raises OutOfRange.

    >>> round(compressibility(pressure_bar=200, temperature_c=20), 5)
    1.02602
    """
    within("pressure_bar", pressure_bar, 0.0, 300.0, "bar")
    within("temperature_c", temperature_c, -10.0, 50.0, "C")
    i, a = _place(_PRESSURES, pressure_bar)
    j, b = _place(_TEMPERATURES, temperature_c)
    cold = _Z[j][i] * (1 - a) + _Z[j][i + 1] * a
    warm = _Z[j + 1][i] * (1 - a) + _Z[j + 1][i + 1] * a
    return cold * (1 - b) + warm * b


def free_gas_l(cylinder: Cylinder) -> float:
    """Free litres in `cylinder`, with the last ones that never come out: V P/P0 Z0/Z.

    >>> round(free_gas_l(Cylinder(volume_l=10, pressure_bar=200, temperature_c=20)))
    1932
    """
    absolute = cylinder.pressure_bar + ATMOSPHERE_BAR
    full = compressibility(pressure_bar=absolute, temperature_c=cylinder.temperature_c)
    free = compressibility(pressure_bar=ATMOSPHERE_BAR, temperature_c=cylinder.temperature_c)
    return cylinder.volume_l * absolute / ATMOSPHERE_BAR * free / full


def usable_l(cylinder: Cylinder, reserve_bar: float) -> float:
    """Free litres between the gauge and `reserve_bar`; nothing below it. Raises OutOfRange."""
    within("reserve_bar", reserve_bar, 0.0, GREATEST_BAR, "bar")
    kept = Cylinder(cylinder.volume_l, reserve_bar, cylinder.temperature_c)
    return max(0.0, free_gas_l(cylinder) - free_gas_l(kept))


def cooled_pressure_bar(cylinder: Cylinder, temperature_c: float) -> float:
    """The gauge reading after the gas has come to `temperature_c`, no gas lost: what a warm fill really holds.

    >>> round(cooled_pressure_bar(Cylinder(12, 200 - 1.01325, 20), 5) + 1.01325, 1)
    185.3
    """
    within("temperature_c", temperature_c, -10.0, 50.0, "C")
    absolute = cylinder.pressure_bar + ATMOSPHERE_BAR
    warm = compressibility(pressure_bar=absolute, temperature_c=cylinder.temperature_c)
    held = absolute / (warm * (cylinder.temperature_c + 273.15))
    found = rising_root(
        lambda p: p / (compressibility(pressure_bar=p, temperature_c=temperature_c) * (temperature_c + 273.15)),
        held,
        300.0,
    )
    if found > GREATEST_BAR + ATMOSPHERE_BAR:
        raise OutOfRange(
            "temperature_c", temperature_c, f"a temperature that keeps the gauge under {GREATEST_BAR:g} bar"
        )
    return found - ATMOSPHERE_BAR


def gauge_for_bar(cylinder: Cylinder, free_l: float) -> float:
    """The gauge reading at which `cylinder` holds `free_l` free litres, at most the greatest it is checked for."""
    return rising_root(
        lambda bar: free_gas_l(Cylinder(cylinder.volume_l, bar, cylinder.temperature_c)), free_l, GREATEST_BAR
    )


def _place(grid: tuple[float, ...], value: float) -> tuple[int, float]:
    """The interval of `grid` that holds `value`, and how far along it."""
    i = min(bisect_right(grid, value) - 1, len(grid) - 2)
    return i, (value - grid[i]) / (grid[i + 1] - grid[i])


def rising_root(function: Callable[[float], float], wanted: float, high: float) -> float:
    """Where a rising `function` reaches `wanted` between 0 and `high`; `high` where it does not."""
    low = 0.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < wanted else (low, middle)
    return high
