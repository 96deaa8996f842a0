"""Compressibility of air, published gas rates, cylinder volumes and the Navy's worked examples."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published, Source, Table

CHECKED = date(2026, 11, 25)

# Z = pV / nRT of air by absolute pressure in bar and temperature in C.
COMPRESSIBILITY = Table(
    columns=(
        ("pressure", "bar"), ("-10", ""), ("0", ""), ("10", ""), ("20", ""), ("30", ""), ("40", ""), ("50", ""),
    ),
    rows=(
        ("0", "1", "1", "1", "1", "1", "1", "1"),
        ("25", "0.98369", "0.98703", "0.98989", "0.99237", "0.99451", "0.99638", "0.99800"),
        ("50", "0.97129", "0.97772", "0.98320", "0.98791", "0.99198", "0.99549", "0.99855"),
        ("75", "0.96296", "0.97208", "0.97984", "0.98648", "0.99220", "0.99713", "1.00141"),
        ("100", "0.95912", "0.97037", "0.97995", "0.98814", "0.99519", "1.00126", "1.00651"),
        ("125", "0.96012", "0.97283", "0.98368", "0.99298", "1.00098", "1.00788", "1.01385"),
        ("150", "0.96603", "0.97951", "0.99107", "1.00101", "1.00957", "1.01698", "1.02339"),
        ("175", "0.97661", "0.99022", "1.00196", "1.01209", "1.02086", "1.02846", "1.03504"),
        ("200", "0.99141", "1.00461", "1.01607", "1.02602", "1.03466", "1.04217", "1.04869"),
        ("225", "1.00987", "1.02224", "1.03306", "1.04251", "1.05075", "1.05793", "1.06417"),
        ("250", "1.03144", "1.04266", "1.05255", "1.06124", "1.06886", "1.07551", "1.08131"),
        ("275", "1.05559", "1.06543", "1.07419", "1.08193", "1.08874", "1.09470", "1.09991"),
        ("300", "1.08184", "1.09016", "1.09763", "1.10428", "1.11015", "1.11530", "1.11980"),
    ),
    source=sources.AIR_EQUATION,
    where="Z of Air",
    checked=CHECKED,
    status="read",
    note="computed by fixtures/oracles/make_gas.py; straight lines between are within 0.07 percent",
)  # fmt: skip


def _navy(value: str, unit: str, source: Source, where: str, note: str) -> Published:
    return Published(value, unit, source=source, where=where, checked=CHECKED, status="read", note=note)


PLANNING_RATE = _navy("1.4", "ft3/min", sources.NAVY_MANUAL_2001_AIR, "8-2.2.2", "demand helmet, all planning")
RATE_LOW = _navy("0.75", "ft3/min", sources.NAVY_MANUAL_2001_AIR, "8-2.2.2", "demand helmet, least observed")
RATE_HIGH = _navy("1.5", "ft3/min", sources.NAVY_MANUAL_2001_AIR, "8-2.2.2", "demand helmet, most observed")
ASCENT_RATE = _navy("30", "ft", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "a minute")
EXAMPLE_DEPTH = _navy("190", "fsw", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "emergency gas")
EXAMPLE_LEAVE_BOTTOM = _navy("28.38", "ft3", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "3 minutes at depth")
EXAMPLE_ASCENT_MINUTES = _navy("7", "min", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "6 min 20 s, rounded up")
EXAMPLE_AVERAGE_DEPTH = _navy("95", "fsw", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "")
EXAMPLE_ASCENT = _navy("38.01", "ft3", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "")
EXAMPLE_TOTAL = _navy("66.39", "ft3", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "")
EXAMPLE_FLOODABLE = _navy("0.399", "ft3", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "the 80 ft3 cylinder, water inside")
EXAMPLE_LEAST = _navy("135", "psi", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "first stage")
EXAMPLE_PRESSURE = _navy("2580.95", "psi", sources.NAVY_MANUAL_2001_AIR, "8-2.2.1", "as an ideal gas")
SEA_PER_ATMOSPHERE = _navy("33", "fsw", sources.NAVY_MANUAL_2001_SCUBA, "7-4.1", "C = (D + 33) / 33 x RMV")
