"""Assessments in force as rows for lists and figures: worked out of the signed records whenever the log says so."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from opsrisk.agencies.models import Agency
from opsrisk.assessment.read_back import rounds
from opsrisk.ledger.models import Entry, Head
from opsrisk.operations.models import Assessment, Decision, LogEntry, Operation
from opsrisk.review.models import Finding, InForce, Phrase, ReadTo

TOUCHING = ("receive_record", "void_record", "close_operation", "log_reading", "log_briefing", "log_read_back")
WAY = 1  # one more whenever something else, or something more, is worked out of a record
AT_ONCE = 200  # operations whose records are in memory together
STEP = 1000  # entries of others that are passed over before the place read to is written down anew
THIN = 0.1  # of the limit: ours, for reading only; no decision rests on it
BRIEFING = (LogEntry.Kind.BRIEFING, LogEntry.Kind.READ_BACK)
NUMBER = re.compile(r"-?\d+(\.\d+)?")
TEXT, NAME = 300, 100

Json = Mapping[str, Any]
Said = tuple[str, str, str, bool]  # what, name, words, whether it is a reason of the decision


def catch_up(agency: Agency) -> None:
    """Works out what changed since last time: nothing to do costs two short queries."""
    end = _end()
    read = _read(agency)
    if read is not None and not _touching(agency, read, end).exists():
        if end - read > STEP:
            ReadTo.objects.filter(agency=agency, entry__lt=end).update(entry=end)
        return
    with transaction.atomic():
        Agency.objects.select_for_update(no_key=True).get(pk=agency.pk)  # one at a time
        _work(agency)


def work_out_again(agency: Agency) -> None:
    """From nothing: rows follow from the records alone."""
    with transaction.atomic():
        Agency.objects.select_for_update(no_key=True).get(pk=agency.pk)
        ReadTo.objects.filter(agency=agency).delete()
        _work(agency)


def _work(agency: Agency) -> None:
    end = _end()
    read = _read(agency)
    if read is None:
        InForce.objects.filter(agency=agency).delete()
        every = Operation.objects.filter(agency=agency, assessments__isnull=False).distinct()
        changed = list(every.order_by("pk").values_list("pk", flat=True))
    else:
        changed = sorted(_operations(_touching(agency, read, end)))
    for start in range(0, len(changed), AT_ONCE):
        _keep(agency, changed[start : start + AT_ONCE])
    ReadTo.objects.update_or_create(agency=agency, defaults={"entry": end, "way": WAY})


def _read(agency: Agency) -> int | None:
    """Up to which entry; None where nothing was worked out yet, or not in the present way."""
    return ReadTo.objects.filter(agency=agency, way=WAY).values_list("entry", flat=True).first()


def _end() -> int:
    """The size of the log: every entry below it is committed together with what it records."""
    return Head.objects.values_list("size", flat=True).first() or 0


def _touching(agency: Agency, read: int, end: int) -> Any:
    return Entry.objects.of_agency(agency.pk).filter(index__gte=read, index__lt=end, verb__in=TOUCHING)


def _operations(entries: Iterable[Entry]) -> set[UUID]:
    """The operations that `entries` speak of."""
    subjects: dict[str, list[str]] = {}
    for one in entries:
        subjects.setdefault(one.subject_type, []).append(one.subject_id)
    found = {UUID(pk) for pk in subjects.get("operations.operation", ())}
    for model in (Assessment, LogEntry):
        about = model.objects.filter(pk__in=subjects.get(model._meta.label_lower, ()))
        found |= set(about.values_list("operation", flat=True))
    return found


def _keep(agency: Agency, operations: Sequence[UUID]) -> None:
    zone = ZoneInfo(agency.time_zone)
    rows: list[InForce] = []
    said: list[tuple[InForce, Said]] = []
    found = Operation.objects.filter(pk__in=operations, agency=agency).prefetch_related("assessments", "log")
    for operation in found:
        for row, sayings in _of(operation, zone):
            rows.append(row)
            said += [(row, one) for one in sayings]
    phrases = _phrases({one[:3] for _, one in said})
    InForce.objects.filter(operation__in=operations).delete()
    InForce.objects.bulk_create(rows, batch_size=AT_ONCE)
    Finding.objects.bulk_create([_finding(row, one, phrases) for row, one in said], batch_size=AT_ONCE)


def _phrases(wanted: set[tuple[str, str, str]]) -> dict[tuple[str, str, str], int]:
    """The number of each phrase; new ones are kept."""
    columns = ("what", "name", "text")
    names = {name for _, name, _ in wanted}

    def known() -> dict[tuple[str, str, str], int]:
        rows = Phrase.objects.filter(name__in=names).values_list(*columns, "pk")
        return {(what, name, text): pk for what, name, text, pk in rows}

    new = wanted - known().keys()
    Phrase.objects.bulk_create(
        [Phrase(what=what, name=name, text=text) for what, name, text in sorted(new)], ignore_conflicts=True
    )
    return known()


def _finding(row: InForce, said: Said, phrases: Mapping[tuple[str, str, str], int]) -> Finding:
    return Finding(
        of=row,
        phrase_id=phrases[said[:3]],
        agency_id=row.agency_id,
        protocol_id=row.protocol_id,
        decided=said[3],
        aside=row.chosen_decision != row.decision,
    )


def _of(operation: Operation, zone: ZoneInfo) -> Iterator[tuple[InForce, list[Said]]]:
    """One for each assessment that stands; two where tablets decided apart."""
    every = sorted(operation.assessments.all(), key=lambda row: (row.revision, row.received_at))
    records = {row.pk: json.loads(row.record) for row in every}
    checks = sorted(one.at for one in operation.log.all() if one.kind == LogEntry.Kind.READING)
    lapses = _lapses(operation, [(row, records[row.pk]) for row in every if row.voided_at is None], checks)
    lines = [json.loads(one.text) for one in operation.log.all() if one.kind in BRIEFING]
    known = [{"record": records[row.pk], "digest": row.digest} for row in every]
    held = rounds(known, lines)
    briefed = {one["record"]: one["seconds"] for one in held}
    # What a briefing changed stands in the revision after it, so this is told of the operation as a whole.
    changed = any(one["led_to_a_change"] for one in held) if held else None
    for row in every:
        if row.stands:
            seconds = briefed.get(row.digest)
            yield _one(
                operation, row, records[row.pk], zone, lapses=lapses, briefing_s=seconds, led_to_a_change=changed
            )


def _one(
    operation: Operation, row: Assessment, record: Json, zone: ZoneInfo, **counted: Any
) -> tuple[InForce, list[Said]]:
    said = list(findings(record))
    local = row.assessed_at.astimezone(zone)
    made = InForce(
        assessment=row, agency_id=operation.agency_id, operation=operation, site_id=operation.site_id,
        title=operation.title, place=operation.place, kind=operation.kind, protocol_id=row.protocol_id,
        made_by_id=row.made_by_id, assessed_at=row.assessed_at, year=local.year, month=local.month, score=row.score,
        decision=row.decision, own_decision=row.own_decision, chosen_decision=row.chosen_decision,
        differs=row.differs, unticked=sum(one[0] == Phrase.What.UNTICKED for one in said),
        assumed=sum(one[0] == Phrase.What.ASSUMED for one in said), **counted,
    )  # fmt: skip
    return made, said


def _lapses(operation: Operation, made: Sequence[tuple[Assessment, Json]], checks: Sequence[datetime]) -> int:
    """Decisions to go on that ran out: for longer than they held, nobody assessed, took a reading or closed."""
    ends = [row.assessed_at for row, _ in made[1:]] + [operation.closed_at]
    return sum(
        end is not None and row.chosen_decision != Decision.HOLD and _ran_out(row.assessed_at, end, record, checks)
        for (row, record), end in zip(made, ends, strict=False)
    )


def _ran_out(start: datetime, end: datetime, record: Json, checks: Sequence[datetime]) -> bool:
    until = record["decision"].get("valid_until")
    if not until:
        return False
    holds = datetime.fromisoformat(until) - start
    times = [start, *(at for at in checks if start < at < end), end]
    return any(later - earlier > holds for earlier, later in pairwise(times))


def findings(record: Json) -> Iterator[Said]:
    """What a record says by name: kind, name, words, and whether it is a reason of the decision; nothing twice."""
    seen = set()
    for what, name, text, decided in _said(record):
        if (what, name) not in seen:
            seen.add((what, name))
            yield str(what), name[:NAME], text[:TEXT], decided


def _said(record: Json) -> Iterator[Said]:
    answer = record["decision"]
    because = set((answer.get("rule") or {}).get("because") or ())
    for part, what in (("stops", Phrase.What.STOP), ("triggers", Phrase.What.TRIGGER)):
        for item in answer.get(part) or ():
            yield what, item["id"], item["text"], item["id"] in because
    for item in answer.get("points") or ():
        if item["points"]:
            yield Phrase.What.POINTS, item["factor"], item["label"], False
    for item in answer.get("assumed") or ():
        yield Phrase.What.ASSUMED, item["input"], item["label"], False
    for item in answer.get("margins") or ():
        if _thin(item):
            yield Phrase.What.THIN, item["input"], item["label"], False
    ticked = {tick["id"] for tick in record.get("controls_ticked") or () if tick["ticked"]}
    for item in answer.get("controls") or ():
        if item["id"] not in ticked:
            yield Phrase.What.UNTICKED, item["id"], item["text"], False


def _thin(margin: Json) -> bool:
    """Whether a number lies within a tenth of where a more cautious decision begins."""
    limit, now = (NUMBER.fullmatch(word) for word in ((margin.get("worse") or {}).get("value", ""), _first(margin)))
    return bool(limit and now) and abs(float(limit[0]) - float(now[0])) <= THIN * abs(float(limit[0]))  # type: ignore[index]  # both are matches here


def _first(margin: Json) -> str:
    return str(margin.get("now", "")).partition(" ")[0]
