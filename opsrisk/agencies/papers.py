"""Which qualifications and medical examinations have expired or soon will, told to whom they concern."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef

from opsrisk.agencies.models import Examination, Person, Qualification
from opsrisk.agencies.permissions import may

NOTICE = timedelta(days=60)  # ours: long enough to find a day with a physician or an instructor
MEDICAL = "medical examination"
DIVERS = ("diver", "standby_diver")


class Paper:
    """One qualification or examination with a last day; that day still counts."""

    def __init__(self, person: Person, kind: str, until: date, now: date) -> None:
        self.person, self.kind, self.until = person, kind.replace("_", " "), until
        self.days = (until - now).days

    @property
    def words(self) -> str:
        days = "1 day" if abs(self.days) == 1 else f"{abs(self.days)} days"
        if self.days < 0:
            return f"expired {days} ago, on {self.until}"
        return f"expires in {days}, on {self.until}" if self.days else f"expires today, {self.until}"


class Papers(list[Paper]):
    """What is due, the oldest first."""

    days = NOTICE.days

    @property
    def expired(self) -> int:
        return sum(one.days < 0 for one in self)

    @property
    def soon(self) -> int:
        return len(self) - self.expired


def today(person: Person, at: datetime) -> date:
    """The day where the person's agency is."""
    return at.astimezone(ZoneInfo(person.agency.time_zone if person.agency else "UTC")).date()


def examinations(reader: Person) -> dict[object, Examination]:
    """The last one noted for each active colleague, as far as this person may know: one's own, or everybody's."""
    rows = Examination.objects.for_person(reader).filter(person__is_active=True).select_related("person")
    if not may(reader, "read_medical"):
        rows = rows.filter(person=reader)
    return {row.person_id: row for row in rows.order_by("pk")}


def due(reader: Person, at: datetime, of: Person | None = None) -> Papers:
    """What has expired or expires within the notice, of everybody or of one person."""
    now = today(reader, at)
    held = Qualification.objects.for_person(reader).filter(person__is_active=True, expires__lte=now + NOTICE)
    found = [Paper(row.person, row.kind, row.expires, now) for row in held.select_related("person") if row.expires]
    noted = examinations(reader).values()
    found += [Paper(row.person, MEDICAL, row.valid_until, now) for row in noted if row.valid_until <= now + NOTICE]
    found = [one for one in found if of is None or one.person.pk == of.pk]
    return Papers(sorted(found, key=lambda one: (one.until, one.person.name, one.kind)))


def divers_without(reader: Person) -> list[str]:
    """Names of active divers for whom no examination is noted, for those who may know."""
    if not may(reader, "read_medical"):
        return []
    held = Qualification.objects.filter(person=OuterRef("pk"), kind__in=DIVERS)
    noted = Examination.objects.filter(person=OuterRef("pk"))
    rows = Person.objects.for_person(reader).filter(Exists(held), ~Exists(noted), is_active=True)
    return list(rows.order_by("name").values_list("name", flat=True))
