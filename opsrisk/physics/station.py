"""A current station: where it is, which way its water goes, and its published constituents."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.reference.current import ARGUMENTS
from opsrisk.reference.units import to_si


@dataclass(frozen=True)
class Constituent:
    """One line of a station's spectrum: amplitude in m/s, phase lag g at Greenwich in degrees."""

    name: str
    amplitude_mps: float
    phase_deg: float


@dataclass(frozen=True)
class Station:
    """A place with a known tidal current. Directions are where the water goes, degrees true."""

    id: str
    name: str
    latitude_deg: float
    longitude_deg: float
    flood_direction_deg: float
    ebb_direction_deg: float
    mean_flow_mps: float
    depth_bin: str
    constituents: tuple[Constituent, ...]

    def __hash__(self) -> int:
        return hash(self.id)  # a curve is looked up thousands of times: hashing every constituent took half the time

    @staticmethod
    def from_document(document: Mapping[str, object]) -> "Station":
        """A station from its packed document (see fixtures/stations/selection.json).

        Speeds are in knots as published. Raises OutOfRange naming the field for anything missing,
        unknown or impossible.
        """
        return Station(
            id=_text(document, "id"),
            name=_text(document, "name"),
            latitude_deg=_number(document, "lat", -90, 90),
            longitude_deg=_number(document, "lon", -180, 180),
            flood_direction_deg=_number(document, "flood_direction", 0, 360),
            ebb_direction_deg=_number(document, "ebb_direction", 0, 360),
            mean_flow_mps=to_si(_decimal("mean_flow_kn", document.get("mean_flow_kn")), "kn"),
            depth_bin=str(document.get("depth_bin") or ""),
            constituents=tuple(_constituents(document)),
        )


def _constituents(document: Mapping[str, object]) -> Iterator[Constituent]:
    rows = document.get("constituents")
    if not isinstance(rows, list | tuple) or not rows:
        raise OutOfRange("constituents", rows, "a list of [name, amplitude in knots, phase in degrees]")
    seen: set[str] = set()
    for row in rows:
        if not isinstance(row, list | tuple) or len(row) != 3 or row[0] not in ARGUMENTS or row[0] in seen:
            accepted = f"[name, amplitude in knots, phase], each name once, of {', '.join(ARGUMENTS)}"
            raise OutOfRange("constituents", row, accepted)
        seen.add(row[0])
        amplitude = within("amplitude_kn", float(_decimal("amplitude_kn", row[1])), 0, 20, "kn")
        phase = within("phase_deg_gmt", float(_decimal("phase_deg_gmt", row[2])), 0, 360, "degrees")
        yield Constituent(row[0], to_si(Decimal(str(amplitude)), "kn"), phase)


def _text(document: Mapping[str, object], field: str) -> str:
    value = document.get(field)
    if not isinstance(value, str) or not value.strip():
        raise OutOfRange(field, value, "a text that is not empty")
    return value


def _number(document: Mapping[str, object], field: str, low: float, high: float) -> float:
    return within(field, float(_decimal(field, document.get(field))), low, high, "degrees")


def _decimal(field: str, value: object) -> Decimal:
    try:
        if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
            raise InvalidOperation
        number = Decimal(str(value))
    except InvalidOperation:
        raise OutOfRange(field, value, "a number") from None
    if not number.is_finite():
        raise OutOfRange(field, value, "a finite number")
    return number
