import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("agencies", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="ProtocolVersion",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("protocol_id", models.CharField(max_length=100)),
                ("version", models.CharField(max_length=40)),
                ("digest", models.CharField(max_length=64)),
                ("document", models.TextField()),
                (
                    "state",
                    models.CharField(
                        choices=[("draft", "Draft"), ("adopted", "In force"), ("superseded", "Superseded")],
                        default="draft",
                        max_length=10,
                    ),
                ),
                ("drafted_at", models.DateTimeField()),
                ("proof", models.JSONField(blank=True, null=True)),
                ("adopted_at", models.DateTimeField(blank=True, null=True)),
                ("effective_from", models.DateTimeField(blank=True, null=True)),
                (
                    "adopted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="protocols_adopted",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "agency",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="protocols", to="agencies.agency"
                    ),
                ),
                (
                    "author",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="protocols_written",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("agency", "protocol_id", "version"), name="one_protocol_of_a_version"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "adopted")), fields=("agency",), name="one_protocol_in_force"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("adopted_at__isnull", True),
                                ("adopted_by__isnull", True),
                                ("effective_from__isnull", True),
                                ("state", "draft"),
                            ),
                            models.Q(
                                ("adopted_at__isnull", False),
                                ("adopted_by__isnull", False),
                                ("effective_from__isnull", False),
                                ("state__in", ["adopted", "superseded"]),
                            ),
                            _connector="OR",
                        ),
                        name="adopted_means_by_somebody",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("adopted_by__isnull", True),
                            models.Q(("adopted_by", models.F("author")), _negated=True),
                            _connector="OR",
                        ),
                        name="adopted_by_a_second_person",
                    ),
                ],
            },
        ),
    ]
