"""The kinds of record that may go some day, with what others say about their time, and what is past the agency's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from opsrisk.agencies.models import Agency, Examination
from opsrisk.briefing.models import Archive, Sheet
from opsrisk.operations.models import Photo
from opsrisk.records.models import DiveRecord, RetentionPolicy, Trained, TrainingDay
from opsrisk.reference.retention import AFTER_LEAVING, DIVE, DIVE_WITH_SICKNESS, PHYSICIAN, QUOTED
from opsrisk.reference.value import Published

SHOWN = 100
SUSPECTED = Q(decompression__in=("yes", "unknown")) | Q(injury__in=("yes", "unknown"))
EVER = (
    (
        "Signed assessments, signatures and the conditions log",
        "They are the proof of who decided what; the database refuses to delete them.",
    ),
    ("The ledger", "Each entry proves the ones before it; one that went would break the proof of all that follow."),
    (
        "Debriefs, versions of the protocol and sealed reports",
        "What was decided is read by the rules and the words of its day.",
    ),
    (
        "Names, times and digests of photos, sheets and archives",
        "They prove what there was and by whom it was made; only the files could go.",
    ),
)


@dataclass(frozen=True)
class Kind:
    """A kind of record with the published least times; `begins` says what its period counts from."""

    name: str
    words: str
    begins: str
    published: tuple[Published, ...] = ()

    @property
    def least(self) -> int:
        """The longest of the published least times, in years; 0 where nobody published one."""
        return max((int(one.value) for one in self.published), default=0)

    @property
    def told(self) -> list[str]:
        return [_told(one) for one in self.published]


def _told(one: Published) -> str:
    years = "1 year" if one.value == "1" else f"{one.value} years"
    after = " after the last activity" if one is AFTER_LEAVING else ""
    status = "from memory" if one.status == "memory" else QUOTED if QUOTED in one.note else "read"
    return f"{years}{after}: {one.source.title}, {one.where}, {status}"


LEFT = "its day, or when the person left, whichever is later; those of active people are kept"
KINDS = (
    Kind("dives", "Dive records in which nothing was suspected", LEFT, (DIVE, AFTER_LEAVING)),
    Kind("dives_suspected", "Dive records with sickness or injury suspected or not known", LEFT,
         (DIVE_WITH_SICKNESS, AFTER_LEAVING)),
    Kind("training", "Training days", "its day, or when the last who took part left", (AFTER_LEAVING,)),
    Kind("medical", "Dates of medical examinations", "when the person left", (PHYSICIAN, AFTER_LEAVING)),
    Kind("photos", "Files of photos", "when the file had arrived"),
    Kind("archives", "Files of archives for an inquiry, which can be made again", "when it was asked for"),
    Kind("sheets", "Files of sheets, which can be made again with a new seal", "when it was asked for"),
)  # fmt: skip
BY_NAME = {kind.name: kind for kind in KINDS}


@dataclass(frozen=True)
class Past:
    """What is past its period of one kind: how many, and the oldest by day and words."""

    kind: Kind
    years: int
    before: date
    number: int
    oldest: tuple[tuple[date, str], ...]

    @property
    def left_out(self) -> int:
        return self.number - len(self.oldest)


def in_force(agency: Agency) -> RetentionPolicy | None:
    return agency.retention_policies.order_by("-number").select_related("by").first()


def past(agency: Agency, years: Mapping[str, int], at: datetime) -> list[Past]:
    """Of each kind with a period, what is older. Nothing is done to it."""
    zone = ZoneInfo(agency.time_zone)
    found = []
    for kind in KINDS:
        if kind.name in years:
            before = cutoff(at.astimezone(zone).date(), years[kind.name])
            rows, day = _rows(kind.name, agency, before, datetime.combine(before, time(), zone))
            oldest = tuple((_day(row, day, zone), _words(row)) for row in rows.order_by(day, "pk")[:SHOWN])
            found.append(Past(kind, years[kind.name], before, rows.count(), oldest))
    return found


def rows_past(kind: str, agency: Agency, years: int, at: datetime) -> QuerySet[Any]:
    """The records of one kind that are past their period, the oldest first."""
    zone = ZoneInfo(agency.time_zone)
    before = cutoff(at.astimezone(zone).date(), years)
    rows, day = _rows(kind, agency, before, datetime.combine(before, time(), zone))
    return rows.order_by(day, "pk")


def cutoff(now: date, years: int) -> date:
    """The day so many years ago; of 29 February the day before, so that nothing goes a day early."""
    try:
        return now.replace(year=now.year - years)
    except ValueError:
        return now.replace(year=now.year - years, day=28)


def _rows(name: str, agency: Agency, before: date, start: datetime) -> tuple[QuerySet[Any], str]:
    """What was there before that day, and the field that says when."""
    if name in ("dives", "dives_suspected"):
        dives = DiveRecord.objects.filter(operation__agency=agency, in_at__lt=start).standing()
        dives = dives.filter(Q(diver__isnull=True) | Q(diver__retired_at__lt=start)).select_related("operation")
        return (dives.filter(SUSPECTED) if name == "dives_suspected" else dives.exclude(SUSPECTED)), "in_at"
    if name == "training":
        stays = Trained.objects.filter(training=OuterRef("pk")).exclude(person__retired_at__lt=start)
        return TrainingDay.objects.filter(~Exists(stays), agency=agency, held_on__lt=before).standing(), "held_on"
    if name == "medical":
        left = Examination.objects.filter(person__agency=agency, person__retired_at__lt=start, at__lt=start)
        return left.select_related("person"), "examined_on"
    if name == "photos":
        photos = Photo.objects.filter(operation__agency=agency).received().filter(received_at__lt=start)
        return photos.select_related("operation"), "received_at"
    if name == "archives":
        archives = Archive.objects.filter(operation__agency=agency, asked_at__lt=start).exclude(file="")
        return archives.select_related("operation"), "asked_at"
    sheets = Sheet.objects.filter(assessment__operation__agency=agency, made_at__lt=start).exclude(pdf="")
    return sheets.select_related("assessment__operation"), "made_at"


def _day(row: Any, field: str, zone: ZoneInfo) -> date:
    found = getattr(row, field)
    return found.astimezone(zone).date() if isinstance(found, datetime) else found


def _words(row: Any) -> str:
    if isinstance(row, DiveRecord):
        return f"{row.operation.title}, dive {row.dive}, {row.diver_name}"
    if isinstance(row, TrainingDay):
        return row.what
    if isinstance(row, Examination):
        return row.person.name
    if isinstance(row, Sheet):
        return f"{row.assessment.operation.title}, sheet {row.code}"
    return f"{row.operation.title}{', ' + row.caption if isinstance(row, Photo) else ''}"
