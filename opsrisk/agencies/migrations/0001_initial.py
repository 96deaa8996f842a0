import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        migrations.CreateModel(
            name="Agency",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=200, unique=True)),
                ("slug", models.SlugField(max_length=60, unique=True)),
                (
                    "units",
                    models.CharField(
                        choices=[("us", "feet, knots, Fahrenheit"), ("metric", "metres, knots, Celsius")],
                        default="us",
                        max_length=6,
                    ),
                ),
                ("time_zone", models.CharField(default="UTC", max_length=64)),
            ],
            options={
                "verbose_name_plural": "agencies",
            },
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("email", models.EmailField(max_length=254, unique=True)),
                ("name", models.CharField(max_length=200)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("supervisor", "Dive supervisor"),
                            ("member", "Team member"),
                            ("chief", "Chief"),
                            ("safety_officer", "Safety officer"),
                        ],
                        default="member",
                        max_length=20,
                    ),
                ),
                ("is_active", models.BooleanField(default=True)),
                ("is_staff", models.BooleanField(default=False)),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("signing_salt", models.CharField(blank=True, editable=False, max_length=64)),
                ("signing_iterations", models.PositiveIntegerField(default=600000, editable=False)),
                ("signing_public_key", models.CharField(blank=True, editable=False, max_length=64)),
                ("signing_set_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
                (
                    "agency",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="people",
                        to="agencies.agency",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "people",
            },
        ),
        migrations.CreateModel(
            name="CurrentStation",
            fields=[
                ("id", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=200)),
                ("lat", models.DecimalField(decimal_places=6, max_digits=9)),
                ("lon", models.DecimalField(decimal_places=6, max_digits=9)),
                ("data", models.JSONField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("lat__gte", -90), ("lat__lte", 90), ("lon__gte", -180), ("lon__lte", 180)),
                        name="station_is_on_earth",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="FormerSigningKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("public_key", models.CharField(max_length=64)),
                ("until", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="former_keys",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Qualification",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=60)),
                ("limits", models.JSONField(blank=True, default=dict)),
                ("expires", models.DateField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="qualifications",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=200)),
                (
                    "water",
                    models.CharField(
                        choices=[("fresh", "Fresh"), ("brackish", "Brackish"), ("salt", "Salt")], max_length=8
                    ),
                ),
                (
                    "lat",
                    models.DecimalField(
                        blank=True, decimal_places=6, max_digits=9, null=True, verbose_name="latitude, degrees"
                    ),
                ),
                (
                    "lon",
                    models.DecimalField(
                        blank=True, decimal_places=6, max_digits=9, null=True, verbose_name="longitude, degrees"
                    ),
                ),
                (
                    "altitude_m",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=6, null=True, verbose_name="altitude, m"
                    ),
                ),
                ("notes", models.TextField(blank=True)),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "agency",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sites", to="agencies.agency"
                    ),
                ),
                (
                    "station",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sites",
                        to="agencies.currentstation",
                        verbose_name="current station",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Token",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=100)),
                ("digest", models.CharField(editable=False, max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tokens", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Vehicle",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=100)),
                ("depth_rating_m", models.DecimalField(decimal_places=1, max_digits=6, verbose_name="depth rating, m")),
                (
                    "tether_length_m",
                    models.DecimalField(decimal_places=1, max_digits=6, verbose_name="tether length, m"),
                ),
                (
                    "tether_diameter_mm",
                    models.DecimalField(decimal_places=2, max_digits=5, verbose_name="tether diameter, mm"),
                ),
                ("thrust_n", models.DecimalField(decimal_places=1, max_digits=7, verbose_name="forward thrust, N")),
                ("drag_area_m2", models.DecimalField(decimal_places=4, max_digits=6, verbose_name="drag area, m2")),
                (
                    "current_limit_mps",
                    models.DecimalField(
                        blank=True, decimal_places=3, max_digits=5, null=True, verbose_name="stated current limit, m/s"
                    ),
                ),
                ("imaging_sonar", models.BooleanField(default=False, verbose_name="carries an imaging sonar")),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "agency",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="vehicles", to="agencies.agency"
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("agency__isnull", False), ("is_superuser", True), _connector="OR"),
                name="person_has_an_agency",
            ),
        ),
        migrations.AddConstraint(
            model_name="qualification",
            constraint=models.UniqueConstraint(fields=("person", "kind"), name="one_qualification_of_a_kind"),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.UniqueConstraint(fields=("agency", "name"), name="one_site_of_a_name"),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lat__isnull", True), ("lon__isnull", True)),
                    models.Q(("lat__gte", -90), ("lat__lte", 90), ("lon__gte", -180), ("lon__lte", 180)),
                    _connector="OR",
                ),
                name="site_is_on_earth",
            ),
        ),
        migrations.AddConstraint(
            model_name="vehicle",
            constraint=models.UniqueConstraint(fields=("agency", "name"), name="one_vehicle_of_a_name"),
        ),
        migrations.AddConstraint(
            model_name="vehicle",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("depth_rating_m__gt", 0),
                    ("tether_diameter_mm__gt", 0),
                    ("tether_length_m__gt", 0),
                    ("drag_area_m2__gt", 0),
                    ("thrust_n__gt", 0),
                    models.Q(("current_limit_mps__isnull", True), ("current_limit_mps__gt", 0), _connector="OR"),
                ),
                name="vehicle_figures_are_positive",
            ),
        ),
    ]
