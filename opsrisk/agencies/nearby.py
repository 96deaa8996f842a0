"""Current stations by name or by nearness."""

from dataclasses import dataclass
from math import asin, cos, radians, sin, sqrt

from opsrisk.agencies.models import CurrentStation

EARTH_RADIUS_KM = 6371.0088  # mean radius, IUGG 1980; distances here only order a list


@dataclass(frozen=True)
class Found:
    station: CurrentStation
    km: float | None


def distance_km(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    """Great-circle distance by the haversine formula, to about 0.5 % (the earth is no sphere)."""
    a, b = radians(lat), radians(other_lat)
    chord = sin((b - a) / 2) ** 2 + cos(a) * cos(b) * sin(radians(other_lon - lon) / 2) ** 2
    return 2 * EARTH_RADIUS_KM * asin(sqrt(min(1.0, chord)))


def stations(*, text: str = "", lat: float | None = None, lon: float | None = None, limit: int = 10) -> list[Found]:
    """Up to `limit` stations whose name or id holds `text`; nearest first when a place is given, else by name."""
    rows = CurrentStation.objects.defer("data").order_by("name", "id")
    if text:
        rows = rows.filter(name__icontains=text) | rows.filter(id__icontains=text)
    if lat is None or lon is None:
        return [Found(row, None) for row in rows[:limit]]
    measured = [Found(row, distance_km(lat, lon, float(row.lat), float(row.lon))) for row in rows]
    return sorted(measured, key=lambda found: found.km or 0.0)[:limit]
