"""Agencies, their people, kit and places."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import uuid4

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import F, Q

from opsrisk.agencies.sonar_modes import check_modes

if TYPE_CHECKING:
    from typing import Self

Row = TypeVar("Row", bound=models.Model)


class OfAgency(models.QuerySet[Row]):
    """Rows that belong to an agency. Every page and every answer starts from `for_person`."""

    agency_path = "agency"

    def for_person(self, person: Any) -> Self:
        """What this person may know of: rows of their own agency; none for who has no agency or is signed out."""
        agency_id = getattr(person, "agency_id", None)
        return self.filter(**{self.agency_path: agency_id}) if agency_id else self.none()


class OfPerson(OfAgency[Row]):
    agency_path = "person__agency"


class Agency(models.Model):
    class Units(models.TextChoices):
        US = "us", "feet, knots, Fahrenheit"
        METRIC = "metric", "metres, knots, Celsius"

    class Language(models.TextChoices):
        ENGLISH = "en", "English"
        SPANISH = "es", "Spanish"

    class Decimal(models.TextChoices):
        """The sign in shown numbers: not a matter of the language, since Spanish-speaking places use both."""

        POINT = ".", "point: 0.5"
        COMMA = ",", "comma: 0,5"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(max_length=200, unique=True)
    slug = models.SlugField(max_length=60, unique=True)
    units = models.CharField(max_length=6, choices=Units, default=Units.US)
    language = models.CharField(max_length=2, choices=Language, default=Language.ENGLISH)
    decimal = models.CharField("decimal sign", max_length=1, choices=Decimal, default=Decimal.POINT)
    time_zone = models.CharField(max_length=64, default="UTC")
    # Whether supervisors, chiefs and safety officers need a second factor to sign in.
    second_factor = models.BooleanField("asks for a second factor", default=True)

    class Meta:
        verbose_name_plural = "agencies"

    def __str__(self) -> str:
        return self.name


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Person:
        """For `createsuperuser` and tests; people of an agency come in through `actions.enrol`."""
        person = self.model(email=email.strip().lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> Person:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(email=(username or "").lower())

    def for_person(self, person: Any) -> models.QuerySet[Person]:
        """Colleagues of this person (and the person)."""
        agency_id = getattr(person, "agency_id", None)
        return self.filter(agency=agency_id) if agency_id else self.none()


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody who signs in. Of the signing code only what checks a signature is kept: salt and public key."""

    class Role(models.TextChoices):
        SUPERVISOR = "supervisor", "Dive supervisor"
        MEMBER = "member", "Team member"
        CHIEF = "chief", "Chief"
        SAFETY_OFFICER = "safety_officer", "Safety officer"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=200)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, null=True, blank=True, related_name="people")
    role = models.CharField(max_length=20, choices=Role, default=Role.MEMBER)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)
    signing_salt = models.CharField(max_length=64, blank=True, editable=False)
    signing_iterations = models.PositiveIntegerField(default=600_000, editable=False)
    signing_public_key = models.CharField(max_length=64, blank=True, editable=False)
    signing_set_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = PersonManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(
                condition=Q(agency__isnull=False) | Q(is_superuser=True), name="person_has_an_agency"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def key_at(self, public_key: str, at: datetime) -> bool:
        """Whether `public_key` was this person's at that time (a record may arrive after the code was changed)."""
        if self.retired_at and at > self.retired_at:
            return False
        if public_key and public_key == self.signing_public_key:
            return True
        return self.former_keys.filter(public_key=public_key, until__gte=at).exists()


class FormerSigningKey(models.Model):
    """A key that a person signed with before changing the code; old signatures still verify."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="former_keys")
    public_key = models.CharField(max_length=64)
    until = models.DateTimeField()

    objects = OfPerson["FormerSigningKey"].as_manager()

    def __str__(self) -> str:
        return f"{self.person} until {self.until:%Y-%m-%d}"


class Token(models.Model):
    """Lets another program read as this person. Only a digest is kept; the token is shown once."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="tokens")
    name = models.CharField(max_length=100)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = OfPerson["Token"].as_manager()

    def __str__(self) -> str:
        return self.name


class Qualification(models.Model):
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="qualifications")
    kind = models.CharField(max_length=60)
    limits = models.JSONField(default=dict, blank=True)
    expires = models.DateField(null=True, blank=True)

    objects = OfPerson["Qualification"].as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "kind"], name="one_qualification_of_a_kind")]

    def __str__(self) -> str:
        return f"{self.person}: {self.kind}"


class Examination(models.Model):
    """That somebody was examined for diving, and until when that holds: two dates and never a finding."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="examinations")
    examined_on = models.DateField("examined on")
    valid_until = models.DateField("valid until")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="examinations_noted")
    at = models.DateTimeField()

    objects = OfPerson["Examination"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(valid_until__gt=F("examined_on")), name="valid_after_the_examination")
        ]

    def __str__(self) -> str:
        return f"{self.person}, until {self.valid_until}"


class Vehicle(models.Model):
    """A remotely operated vehicle and what it can stand."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="vehicles")
    name = models.CharField(max_length=100)
    depth_rating_m = models.DecimalField("depth rating, m", max_digits=6, decimal_places=1)
    tether_length_m = models.DecimalField("tether length, m", max_digits=6, decimal_places=1)
    tether_diameter_mm = models.DecimalField("tether diameter, mm", max_digits=5, decimal_places=2)
    thrust_n = models.DecimalField("forward thrust, N", max_digits=7, decimal_places=1)
    drag_area_m2 = models.DecimalField("drag area, m2", max_digits=6, decimal_places=4)
    current_limit_mps = models.DecimalField(
        "stated current limit, m/s", max_digits=5, decimal_places=3, null=True, blank=True
    )
    imaging_sonar = models.BooleanField("carries an imaging sonar", default=False)
    sonar_modes = models.JSONField("working modes of the sonar", default=list, blank=True, validators=[check_modes])
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = OfAgency["Vehicle"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agency", "name"], name="one_vehicle_of_a_name"),
            models.CheckConstraint(
                condition=Q(depth_rating_m__gt=0, tether_length_m__gt=0, tether_diameter_mm__gt=0)
                & Q(thrust_n__gt=0, drag_area_m2__gt=0)
                & (Q(current_limit_mps__isnull=True) | Q(current_limit_mps__gt=0)),
                name="vehicle_figures_are_positive",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CurrentStation(models.Model):
    """A published tidal-current prediction station; belongs to no agency."""

    id = models.CharField(primary_key=True, max_length=40)
    name = models.CharField(max_length=200)
    lat = models.DecimalField(max_digits=9, decimal_places=6)
    lon = models.DecimalField(max_digits=9, decimal_places=6)
    data = models.JSONField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(lat__gte=-90, lat__lte=90, lon__gte=-180, lon__lte=180), name="station_is_on_earth"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Site(models.Model):
    """A place where the agency works or may have to."""

    class Water(models.TextChoices):
        FRESH = "fresh", "Fresh"
        BRACKISH = "brackish", "Brackish"
        SALT = "salt", "Salt"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=200)
    water = models.CharField(max_length=8, choices=Water)
    lat = models.DecimalField("latitude, degrees", max_digits=9, decimal_places=6, null=True, blank=True)
    lon = models.DecimalField("longitude, degrees", max_digits=9, decimal_places=6, null=True, blank=True)
    altitude_m = models.DecimalField("altitude, m", max_digits=6, decimal_places=1, null=True, blank=True)
    station = models.ForeignKey(
        CurrentStation,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="sites",
        verbose_name="current station",
    )
    notes = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = OfAgency["Site"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agency", "name"], name="one_site_of_a_name"),
            models.CheckConstraint(
                condition=(Q(lat__isnull=True) & Q(lon__isnull=True))
                # NULL passes a comparison in SQL: half a place must be ruled out by name.
                | Q(lat__isnull=False, lon__isnull=False, lat__gte=-90, lat__lte=90, lon__gte=-180, lon__lte=180),
                name="site_is_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name
