"""How much of a sonar's sound the water itself takes, over frequency, temperature, salinity and depth."""

from math import exp, sqrt

from opsrisk.physics.ranges import within
from opsrisk.reference import sonar as published


def absorption_db_per_km(
    *, frequency_khz: float, temperature_c: float, salinity: float, depth_m: float, ph: float = 8.0
) -> float:
    """Absorption of sound in water in dB/km (Ainslie and McColm 1998).

    Valid for 0.1 to 3,000 kHz, 0 to 35 C, salinity 0 to 45, 0 to 1,000 m, pH 6 to 9. Within 9 percent of the
    full formula of 1982 to 1,000 kHz (both rest on the same measurements); above that, where the authors do
    not go, only the water's own term is left, which grows with frequency squared. Raises OutOfRange.

    >>> round(absorption_db_per_km(frequency_khz=1200, temperature_c=10, salinity=0, depth_m=5))
    487
    """
    f = within("frequency_khz", frequency_khz, 0.1, 3000.0, "kHz")
    t = within("temperature_c", temperature_c, 0.0, 35.0, "C")
    s = within("salinity", salinity, 0.0, 45.0, "")
    z = within("depth_m", depth_m, 0.0, 1000.0, "m") / 1000.0
    within("ph", ph, 6.0, 9.0, "")
    f1 = published.BORIC_FREQUENCY.si * sqrt(s / 35) * exp(t / published.BORIC_FREQUENCY_WARMTH.si)
    f2 = published.SULPHATE_FREQUENCY.si * exp(t / published.SULPHATE_FREQUENCY_WARMTH.si)
    boric = published.BORIC.si * f1 * f * f / (f1 * f1 + f * f) * exp((ph - 8) / published.BORIC_PH.si)
    sulphate = published.SULPHATE.si * (1 + t / published.SULPHATE_WARMTH.si) * s / 35
    sulphate *= f2 * f * f / (f2 * f2 + f * f) * exp(-z / published.SULPHATE_DEPTH.si)
    water = published.WATER.si * f * f * exp(-(t / published.WATER_WARMTH.si + z / published.WATER_DEPTH.si))
    return boric + sulphate + water
