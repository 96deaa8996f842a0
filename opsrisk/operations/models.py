"""Operations and their assessments. A signed assessment is never changed; a change makes the next revision."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from opsrisk.agencies.models import Agency, OfAgency, Person, Site
from opsrisk.assessment.words import ROLES
from opsrisk.protocols.models import ProtocolVersion


class Decision(models.TextChoices):
    """In order of caution, least first."""

    DIVERS = "divers", "Divers may enter"
    DIVERS_WITH_CONTROLS = "divers_with_controls", "Divers may enter once the controls are in place"
    VEHICLE_FIRST = "vehicle_first", "Vehicle first"
    VEHICLE_ONLY = "vehicle_only", "Vehicle only"
    HOLD = "hold", "Hold"


class Operation(models.Model):
    class Kind(models.TextChoices):
        RESCUE = "rescue", "Rescue"
        RECOVERY = "recovery", "Body recovery"
        EVIDENCE = "evidence", "Evidence search"
        OBJECT = "object", "Object recovery"
        INSPECTION = "inspection", "Inspection"
        TRAINING = "training", "Training"
        UNKNOWN = "unknown", "Not known yet"

    # Made on the tablet, which may open an operation without a network.
    id = models.UUIDField(primary_key=True, default=uuid4)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="operations")
    title = models.CharField(max_length=200)
    site = models.ForeignKey(Site, on_delete=models.PROTECT, null=True, blank=True, related_name="operations")
    place = models.CharField(max_length=300, blank=True)
    kind = models.CharField(max_length=12, choices=Kind)
    called_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    outcome = models.TextField(blank=True)

    objects = OfAgency["Operation"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("called_at")), name="closed_after_the_call"
            )
        ]

    def __str__(self) -> str:
        return self.title


class OfOperation(OfAgency["Assessment"]):
    agency_path = "operation__agency"

    def current(self) -> OfOperation:
        """The revisions that stand: replaced by none, not void; more than one when two tablets decided apart."""
        return self.filter(superseded_by__isnull=True, voided_at__isnull=True)


class Assessment(models.Model):
    """One signed record, exactly as its canonical bytes arrived, and what the server found in it."""

    id = models.UUIDField(primary_key=True)  # the record's own, made on the tablet
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="assessments")
    revision = models.PositiveIntegerField()
    previous = models.CharField(max_length=64, blank=True)
    record = models.TextField()
    digest = models.CharField(max_length=64, unique=True)
    situation_digest = models.CharField(max_length=64, db_index=True)
    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT, related_name="assessments")
    decision = models.CharField(max_length=24, choices=Decision)
    score = models.PositiveSmallIntegerField(null=True)
    own_decision = models.CharField(max_length=24, choices=Decision)
    chosen_decision = models.CharField(max_length=24, choices=Decision)
    override_reason = models.TextField(blank=True)
    override_second = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="overrides_seconded"
    )
    assessed_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="assessments_made")
    received_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="assessments_sent")
    received_at = models.DateTimeField()
    server_decision = models.CharField(max_length=24, choices=Decision)
    server_document = models.TextField()  # the server's own answer, whole, so that a difference can be looked into
    receipt = models.TextField()  # what was answered to the tablet, countersigned
    differs = models.BooleanField(default=False)
    # Signed on another tablet while a newer revision was already here: kept, flagged, replaces nothing.
    rival = models.BooleanField(default=False)
    # One revision may replace two that were signed apart.
    superseded_by = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="supersedes"
    )

    # Why this revision was made, where the one before it was wrong rather than overtaken.
    correction = models.TextField(blank=True)
    # Declared void: kept and readable, marked on every rendering.
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="assessments_voided"
    )
    void_reason = models.TextField(blank=True)

    objects = OfOperation.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, voided_by__isnull=True, void_reason="")
                | (Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(void_reason="")),
                name="void_by_somebody_for_a_reason",
            ),
            models.CheckConstraint(condition=Q(revision__gte=1), name="revisions_count_from_one"),
            models.CheckConstraint(condition=Q(score__isnull=True) | Q(score__lte=100), name="score_up_to_100"),
            models.CheckConstraint(
                condition=Q(override_second__isnull=True) | ~Q(override_second=F("made_by")),
                name="override_by_a_second_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation} revision {self.revision}"

    @property
    def stands(self) -> bool:
        return self.superseded_by_id is None and self.voided_at is None


class OfAssessment(OfAgency[Any]):
    agency_path = "assessment__operation__agency"


class Signature(models.Model):
    class Meaning(models.TextChoices):
        DECIDED = "decided", "Decided"
        REVIEWED = "reviewed", "Reviewed"
        BRIEFED = "briefed", "Briefed"
        OVERRODE = "overrode", "Agreed to less caution"

    assessment = models.ForeignKey(Assessment, on_delete=models.PROTECT, related_name="signatures")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="signatures")
    name = models.CharField(max_length=200)  # name and role at that moment: people marry and are promoted
    role = models.CharField(max_length=40)
    meaning = models.CharField(max_length=10, choices=Meaning)
    at = models.DateTimeField()
    # As signed, to the letter: parsing and printing a time again need not give the same bytes.
    at_text = models.CharField(max_length=40)
    algorithm = models.CharField(max_length=20)
    public_key = models.CharField(max_length=64)
    signature = models.CharField(max_length=120)
    verified_at = models.DateTimeField()

    objects = OfAssessment.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["assessment", "person", "meaning"], name="one_signature_of_a_meaning")
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.meaning}"

    @property
    def role_words(self) -> str:
        """The role at that moment, as the sheet prints it."""
        return ROLES.get(self.role, self.role)


class OfOperationLog(OfAgency["LogEntry"]):
    agency_path = "operation__agency"


class LogEntry(models.Model):
    """A line of an operation's conditions log, as its tablet wrote it; lines are only ever added."""

    class Kind(models.TextChoices):
        READING = "reading", "Reading"
        RECALL = "recall", "Recall"
        ACKNOWLEDGED = "acknowledged", "Recall acknowledged"
        BRIEFING = "briefing", "Briefing begun"
        READ_BACK = "read_back", "Said back"
        COMMANDER = "commander", "Incident commander's answer"
        PHOTO = "photo", "Photo"

    id = models.UUIDField(primary_key=True)  # made on the tablet
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="log")
    kind = models.CharField(max_length=12, choices=Kind)
    at = models.DateTimeField()  # by the tablet's clock; the order is the ledger's
    text = models.TextField()  # canonical JSON of the whole line
    digest = models.CharField(max_length=64)
    received_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="log_entries_sent")
    received_at = models.DateTimeField()
    entry = models.PositiveBigIntegerField()  # index in the ledger

    objects = OfOperationLog.as_manager()

    class Meta:
        indexes = [models.Index(fields=["operation", "entry"], name="log_in_order")]

    def __str__(self) -> str:
        return f"{self.operation}, {self.kind}"


class OfDebrief(OfAgency["Debrief"]):
    agency_path = "operation__agency"

    def standing(self) -> OfDebrief:
        """Those that no later one replaced: one for each operation that was debriefed."""
        later = Debrief.objects.filter(operation=OuterRef("operation"), number__gt=OuterRef("number"))
        return self.filter(~Exists(later))


class Debrief(models.Model):
    """What was found out afterwards. Never changed: a later one of the same operation replaces it and says why."""

    class Injuries(models.TextChoices):
        """From harmless to worst."""

        NONE = "none", "Nobody was hurt"
        MINOR = "minor", "First aid on the spot"
        SERIOUS = "serious", "Taken to hospital"
        DEATH = "death", "A death in the team"
        UNKNOWN = "unknown", "Not known"

    class NearMiss(models.TextChoices):
        NO = "no", "No"
        YES = "yes", "Yes"
        UNKNOWN = "unknown", "Not known"

    class FoundBy(models.TextChoices):
        DIVERS = "divers", "Divers"
        VEHICLE = "vehicle", "The vehicle"
        BOTH = "both", "The vehicle, then divers"
        OTHERS = "others", "Somebody else"
        NOT_FOUND = "not_found", "Not found"
        NO_TARGET = "no_target", "Nothing was looked for"
        UNKNOWN = "unknown", "Not known"

    class LookingBack(models.TextChoices):
        RIGHT = "right", "What was done was right"
        TOO_BOLD = "too_bold", "It was not cautious enough"
        TOO_CAUTIOUS = "too_cautious", "It was more cautious than needed"
        UNKNOWN = "unknown", "Cannot be said"

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="debriefs")
    number = models.PositiveSmallIntegerField()  # from 1; the highest stands
    happened = models.TextField()
    surprised = models.TextField(blank=True)
    injuries = models.CharField(max_length=8, choices=Injuries)
    near_miss = models.CharField(max_length=8, choices=NearMiss)
    near_miss_words = models.TextField(blank=True)
    found_by = models.CharField(max_length=10, choices=FoundBy)
    looking_back = models.CharField(max_length=12, choices=LookingBack)
    # Under water, summed over the divers; null: not known.
    diver_minutes = models.PositiveIntegerField(null=True, blank=True)
    vehicle_minutes = models.PositiveIntegerField(null=True, blank=True)
    # The least of the assessments in force then; null: not known.
    visibility_m = models.FloatField(null=True, blank=True)
    reason = models.TextField(blank=True)  # why it replaces the one before
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="debriefs")
    at = models.DateTimeField()

    objects = OfDebrief.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["operation", "number"], name="one_debrief_of_a_number"),
            models.CheckConstraint(condition=Q(number=1) | ~Q(reason=""), name="debrief_replaced_for_a_reason"),
            models.CheckConstraint(
                condition=~Q(near_miss="yes") | ~Q(near_miss_words=""), name="a_near_miss_is_described"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation}, debrief {self.number}"


class OfPhoto(OfAgency["Photo"]):
    agency_path = "operation__agency"

    def received(self) -> OfPhoto:
        return self.filter(state=Photo.State.RECEIVED)


class Photo(models.Model):
    """A photo as its tablet announced it; its parts may come in any order, and again, until all of them are there."""

    class State(models.TextChoices):
        ANNOUNCED = "announced", "Not all of it is here"
        RECEIVED = "received", "Received"
        REFUSED = "refused", "Refused"

    id = models.UUIDField(primary_key=True)  # made on the tablet
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="photos")
    manifest = models.TextField()  # canonical JSON, as announced
    digest = models.CharField(max_length=64)  # of the manifest
    sha256 = models.CharField(max_length=64)  # of the file as the camera wrote it
    size = models.PositiveBigIntegerField()
    caption = models.CharField(max_length=200)
    taken_at = models.DateTimeField()  # by the tablet's clock
    sent_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="photos_sent")
    announced_at = models.DateTimeField()
    state = models.CharField(max_length=9, choices=State, default=State.ANNOUNCED)
    reason = models.TextField(blank=True)  # of a refusal, in words
    received_at = models.DateTimeField(null=True)
    original = models.CharField(max_length=200, blank=True)  # paths below settings.FILES
    shown = models.CharField(max_length=200, blank=True)  # without what the camera wrote besides the picture
    receipt = models.TextField(blank=True)

    objects = OfPhoto.as_manager()

    def __str__(self) -> str:
        return self.caption


class PhotoPart(models.Model):
    """A part that waits for the others; gone once the photo is whole."""

    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="parts")
    number = models.PositiveSmallIntegerField()
    data = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["photo", "number"], name="each_part_once")]

    def __str__(self) -> str:
        return f"{self.photo_id} part {self.number}"


class Receipt(models.Model):
    """What was answered to a request, kept as long as the record: the same key gets the same answer for ever."""

    key = models.CharField(max_length=120)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="receipts")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="receipts")
    body_sha256 = models.CharField(max_length=64)
    started_at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True)  # null: the first request is still running
    response = models.TextField(blank=True)

    objects = OfAgency["Receipt"].as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["agency", "key"], name="one_answer_to_a_key")]

    def __str__(self) -> str:
        return self.key


class Import(models.Model):
    """A file of past operations whose good rows were taken in: who, when, which file, how many."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="imports")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="imports")
    at = models.DateTimeField()
    name = models.CharField(max_length=200)  # of the file, as it was given
    sha256 = models.CharField(max_length=64)  # of the file
    number = models.PositiveIntegerField()  # of operations taken in
    bad = models.PositiveIntegerField()  # rows left out because something in them was wrong
    repeated = models.PositiveIntegerField()  # rows left out because the operation was here already

    objects = OfAgency["Import"].as_manager()

    def __str__(self) -> str:
        return f"{self.number} operations from {self.name}"


class Imported(models.Model):
    """What the file told of an operation from before this program: no assessment, no score, and none ever."""

    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, primary_key=True, related_name="imported")
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="imported")
    of = models.ForeignKey(Import, on_delete=models.PROTECT, related_name="operations")
    line = models.PositiveIntegerField()  # in the file
    reference = models.CharField(max_length=100, blank=True)  # the agency's own
    done = models.CharField(max_length=24, choices=Decision)
    injuries = models.CharField(max_length=8, choices=Debrief.Injuries)
    near_miss = models.CharField(max_length=8, choices=Debrief.NearMiss)
    found_by = models.CharField(max_length=10, choices=Debrief.FoundBy)
    diver_minutes = models.PositiveIntegerField(null=True)  # null: not known, here and below
    vehicle_minutes = models.PositiveIntegerField(null=True)
    visibility_m = models.FloatField(null=True)
    visibility = models.CharField(max_length=20, blank=True)  # with its unit, as it was given

    objects = OfAgency["Imported"].as_manager()

    class Meta:
        constraints = [models.UniqueConstraint("agency", "reference", condition=~Q(reference=""), name="one_reference")]

    def __str__(self) -> str:
        return f"{self.operation}, imported"
