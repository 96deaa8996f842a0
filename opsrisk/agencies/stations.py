"""Current stations: from the published database to the documents that the physics reads."""

from __future__ import annotations

import json
import subprocess
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.station import Station

FORMAT = "opsrisk.stations/1"
SOURCE = (
    "Harmonic constituents published by the National Oceanic and Atmospheric Administration, "
    "taken from the npm package @neaps/tide-database"
)
LICENCE = "public domain"
PREFIX = "noaa/"


class StationsUnavailable(RuntimeError):
    """The station database cannot be read: the message says what to install."""


@dataclass(frozen=True)
class Sorted:
    """Stations that may be kept, as documents, and why the others were left out, counted."""

    kept: tuple[dict[str, Any], ...]
    left_out: Mapping[str, int]


def read_database(root: Path) -> Iterable[dict[str, Any]]:
    """Every current station of the installed database. Raises StationsUnavailable without node or package."""
    script = root / "fixtures" / "stations" / "read_stations.mjs"
    try:
        run = subprocess.run(  # noqa: S603 - our own script, no input from outside
            ["node", str(script)],  # noqa: S607 - node is wherever the machine has it
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
        )
    except FileNotFoundError:
        raise StationsUnavailable("node is not installed: it reads the station database") from None
    except subprocess.CalledProcessError as error:
        raise StationsUnavailable(
            f"npm ci brings @neaps/tide-database; node said: {error.stderr.strip()[-300:]}"
        ) from None
    return [json.loads(line) for line in run.stdout.splitlines() if line]


def sort_out(stations: Iterable[Mapping[str, Any]]) -> Sorted:
    """Keeps stations with constituents whose own licence field says public domain, packed and checked."""
    kept: list[dict[str, Any]] = []
    left_out: Counter[str] = Counter()
    for station in stations:
        reason = _why_not(station)
        if reason:
            left_out[reason] += 1
            continue
        document = pack(station)
        try:
            Station.from_document(document)
        except OutOfRange as refusal:
            left_out[f"refused, {refusal.argument}"] += 1
            continue
        kept.append(document)
    return Sorted(tuple(kept), dict(left_out))


def _why_not(station: Mapping[str, Any]) -> str:
    if station["licence"] != LICENCE:
        return f"licence is {station['licence'] or 'not stated'}"
    if not station["constituents"]:
        return "no constituents of its own"
    return ""


def pack(station: Mapping[str, Any]) -> dict[str, Any]:
    """One station as the document that `Station.from_document` reads: decimal strings, as published.

    The database stores 32-bit floats; published amplitudes have three decimals, phases and directions one.
    Place names other than the station's own are left out: they come from sources with other licences.
    """
    full_id = station["id"].removeprefix(PREFIX)
    current = station["current"]
    return {
        "id": full_id,
        "name": station["name"],
        "lat": _decimal(station["lat"], 5),
        "lon": _decimal(station["lon"], 5),
        "flood_direction": _decimal(current["flood_direction"], 1),
        "ebb_direction": _decimal(current["ebb_direction"], 1),
        "mean_flow_kn": _decimal(current["mean_flow"], 3),
        "depth_bin": full_id.partition("@")[2],
        "constituents": [
            [one["name"], _decimal(one["amplitude"], 3), _decimal(one["phase"] % 360, 1)]
            for one in station["constituents"]
            if round(one["amplitude"], 3) > 0
        ],
    }


def _decimal(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def document_of(stations: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """The file of a selection: where it comes from, under which licence, and the stations."""
    return {"format": FORMAT, "source": SOURCE, "licence": LICENCE, "stations": list(stations)}


def as_text(document: Mapping[str, Any]) -> str:
    """The file's text: one station a line, so that a change shows as one line."""
    head = {key: value for key, value in document.items() if key != "stations"}
    lines = [json.dumps(station, ensure_ascii=False) for station in document["stations"]]
    return json.dumps(head, ensure_ascii=False)[:-1] + ', "stations": [\n' + ",\n".join(lines) + "\n]}\n"
