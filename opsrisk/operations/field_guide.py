"""The made half of each page in docs/computations: what the program asks, answers, computes, is checked by and cites.

Equations and judgements stand above the line and are written by hand; below it everything follows from the registry,
the docstrings, the frozen checks and the published values, so that it cannot drift.
"""

import importlib
import inspect
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from opsrisk.assessment.computations.describe import described
from opsrisk.assessment.computations.entry import Computation
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from opsrisk.operations.physics_checks import Row, compare, read_oracles
from opsrisk.reference.value import Published, Table

LINE = "<!-- Made by manage.py write_field_guide from here on: do not edit below this line. -->"


@dataclass(frozen=True)
class Page:
    """One page: the modules that compute, those with published numbers, and the checks that belong to it."""

    modules: tuple[str, ...]
    numbers: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()


PAGES: dict[str, Page] = {
    "crew": Page(("assessment.crew", "assessment.rotation")),
    "current": Page(
        ("physics.current", "physics.station", "physics.tides", "physics.equilibrium", "physics.window",
         "physics.window_check", "physics.slack_table", "physics.river"),
        ("current",), ("tidal_current", "tidal_current_event", "equilibrium_argument"),
    ),
    "daylight": Page(("physics.daylight", "physics.sun"), (), ("sun_events",)),
    "drag": Page(("physics.drag",), ("drag",)),
    "drift": Page(("physics.drift",)),
    "exposure": Page(("physics.exposure",), ("exposure",)),
    "gas": Page(("physics.cylinder", "physics.gas"), ("gas",), ("gas",)),
    "ice": Page(("physics.ice",), ("ice",)),
    "lift": Page(("physics.lift",), ("lift",)),
    "no_stop": Page(("physics.no_stop",), ("no_stop",)),
    "search": Page(("physics.search",), ("search",)),
    "sonar": Page(("physics.sonar", "physics.absorption"), ("sonar",), ("absorption",)),
    "submersion": Page(("physics.submersion",), ("submersion",)),
    "suction": Page(("physics.suction",), ("suction",)),
    "tether": Page(
        ("physics.line", "physics.tether", "physics.holding", "physics.launch", "physics.funicular",
         "physics.shooting"),
        ("drag",), ("tether",),
    ),
    "water": Page(("physics.water",), ("water",), ("water", "atmosphere")),
}  # fmt: skip


def pages(folder: Path, oracles: Path, examples: Path) -> dict[Path, str]:
    """Every page of `folder` as it should stand: its hand-written part and the made one."""
    rows = [row for document in read_oracles(oracles) for row in compare(document)]
    given = json.loads(examples.read_text(encoding="utf-8"))
    found = {}
    for name, page in PAGES.items():
        path = folder / f"{name}.md"
        by_hand = path.read_text(encoding="utf-8").partition(LINE)[0].rstrip()
        made = "\n".join(_made(name, page, rows, given)).rstrip()
        found[path] = f"{by_hand}\n\n{LINE}\n\n{made}\n"
    return found


def _made(name: str, page: Page, rows: Sequence[Row], examples: dict[str, Any]) -> Iterator[str]:
    for entry in (one for one in COMPUTATIONS.values() if one.page == name):
        yield from _by_name(entry, examples[entry.name])
    yield from _checks([row for row in rows if row.computation in page.checks])
    for module in page.modules:
        yield from _functions(importlib.import_module(f"opsrisk.{module}"))
    for module in page.numbers:
        yield from _numbers(module)


def _by_name(entry: Computation, example: dict[str, Any]) -> Iterator[str]:
    """One computation as the command and the API know it."""
    said = described(entry)
    yield from (f"## `{entry.name}`: {entry.title}", "", entry.question, "")
    yield from (f"{entry.method} Holds for: {entry.limits}", "")
    yield from ("| input | | accepted | where nobody knows it |", "| --- | --- | --- | --- |")
    yield from (_cells(f"`{one['name']}`", one["words"], one["accepted"], one["unknown"]) for one in said["inputs"])
    yield from ("", "| answer | | unit | error |", "| --- | --- | --- | --- |")
    yield from (_cells(f"`{one['name']}`", one["words"], one["unit"], one["error"]) for one in said["answers"])
    yield from ("", f"Example (`fixtures/computations/examples.json`): {_example(entry.name, example)}", "")


def _example(name: str, given: dict[str, Any]) -> str:
    """What the example's input gives, in one sentence."""
    try:
        answers = compute(name, json.dumps(given))["answers"]
    except ComputationRefused as refused:
        return "refused, " + "; ".join(f"{field}: {accepted}" for field, _, accepted in refused.errors) + "."
    shown = [
        f"{one['words'].lower()} {one['value']} {one.get('unit', '')}".strip()
        for one in answers
        if one["kind"] != "rows" and one["value"] is not None
    ]
    listed = [f"{one['words'].lower()}: {len(one['rows'])} rows" for one in answers if one["kind"] == "rows"]
    return "; ".join([*shown, *listed]).rstrip(".") + "."


def _checks(rows: Sequence[Row]) -> Iterator[str]:
    if rows:
        yield from ("## Checked by `manage.py check_physics`", "")
        yield from (
            "| quantity | against | cases | greatest error | median | bound |",
            "| --- | --- | --- | --- | --- | --- |",
        )
        for row in rows:
            errors = (_error(row.greatest, row), _error(row.median, row), _error(row.bound, row))
            yield _cells(f"{row.computation}, {row.quantity}", row.oracle, str(row.cases), *errors)
        yield ""


def _error(value: float, row: Row) -> str:
    """Two digits; what is a thousandth of the bound is said so, since its last digits differ between machines."""
    if value < row.bound / 1000:
        return "under 1/1000 of the bound"
    return f"{value:.2g} {row.unit}" if row.unit else f"{100 * value:.2g} %"


def _functions(module: ModuleType) -> Iterator[str]:
    """Each public function and class of a module with its docstring: what it computes, units, range, refusals."""
    yield from (f"## `{module.__name__.replace('.', '/')}.py`", "", *_paragraphs(inspect.getdoc(module) or ""), "")
    for name, found in vars(module).items():
        documented = inspect.isfunction(found) or inspect.isclass(found)
        if name.startswith("_") or not documented or found.__module__ != module.__name__:
            continue
        text = inspect.getdoc(found) or ""
        if text and not text.startswith(f"{name}("):  # what a dataclass says of itself when nobody else did
            yield from (f"**`{_signature(name, found)}`**", "", *_paragraphs(text), "")


def _signature(name: str, found: Any) -> str:
    """The call with its arguments' names and defaults."""
    if inspect.isclass(found):
        return name
    parts, starred = [], False
    for argument in inspect.signature(found).parameters.values():
        if argument.kind is argument.KEYWORD_ONLY and not starred:
            parts.append("*")
            starred = True
        parts.append(argument.name if argument.default is argument.empty else f"{argument.name}={_shown(argument)}")
    return f"{name}({', '.join(parts)})"


def _shown(argument: inspect.Parameter) -> str:
    """A default that reads the same everywhere: numbers and words, not the order of a set."""
    plain = argument.default is None or isinstance(argument.default, int | float | str)
    return repr(argument.default) if plain else "..."


def _paragraphs(text: str) -> Iterator[str]:
    """A docstring with its examples as code."""
    inside = False
    for line in text.splitlines():
        if line.startswith(">>>") and not inside:
            yield "```"
            inside = True
        elif inside and not line.strip():
            yield "```"
            inside = False
        yield line
    if inside:
        yield "```"


def _numbers(name: str) -> Iterator[str]:
    """The published values of a reference module, as printed, with document and place."""
    module = importlib.import_module(f"opsrisk.reference.{name}")
    rows = [row for key, value in vars(module).items() for row in _published(key, value)]
    if rows:
        yield from (f"## Published numbers (`opsrisk/reference/{name}.py`)", "")
        yield from ("| name | as printed | document | where | seen |", "| --- | --- | --- | --- | --- |")
        yield from rows
        yield ""


def _published(name: str, value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, part in value.items():
            yield from _published(f"{name}[{key}]", part)
    elif isinstance(value, tuple):
        for place, part in enumerate(value):
            yield from _published(f"{name}[{place}]", part)
    elif isinstance(value, Published | Table):
        printed = f"{value.value} {value.unit}" if isinstance(value, Published) else f"table of {len(value.rows)} rows"
        yield _cells(f"`{name}`", printed, value.source.title, value.where, f"{value.status} {value.checked or ''}")


def _cells(*cells: str) -> str:
    return "| " + " | ".join(cell.strip().replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"
