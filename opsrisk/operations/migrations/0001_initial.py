import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("agencies", "0002_whole_places"),
        ("protocols", "0002_refusals"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Operation",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("title", models.CharField(max_length=200)),
                ("place", models.CharField(blank=True, max_length=300)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("rescue", "Rescue"),
                            ("recovery", "Body recovery"),
                            ("evidence", "Evidence search"),
                            ("object", "Object recovery"),
                            ("inspection", "Inspection"),
                            ("training", "Training"),
                            ("unknown", "Not known yet"),
                        ],
                        max_length=12,
                    ),
                ),
                ("called_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("outcome", models.TextField(blank=True)),
                (
                    "agency",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="operations", to="agencies.agency"
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="operations",
                        to="agencies.site",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Assessment",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("revision", models.PositiveIntegerField()),
                ("previous", models.CharField(blank=True, max_length=64)),
                ("record", models.TextField()),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("situation_digest", models.CharField(db_index=True, max_length=64)),
                (
                    "decision",
                    models.CharField(
                        choices=[
                            ("divers", "Divers may enter"),
                            ("divers_with_controls", "Divers may enter once the controls are in place"),
                            ("vehicle_first", "Vehicle first"),
                            ("vehicle_only", "Vehicle only"),
                            ("hold", "Hold"),
                        ],
                        max_length=24,
                    ),
                ),
                ("score", models.PositiveSmallIntegerField(null=True)),
                (
                    "own_decision",
                    models.CharField(
                        choices=[
                            ("divers", "Divers may enter"),
                            ("divers_with_controls", "Divers may enter once the controls are in place"),
                            ("vehicle_first", "Vehicle first"),
                            ("vehicle_only", "Vehicle only"),
                            ("hold", "Hold"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "chosen_decision",
                    models.CharField(
                        choices=[
                            ("divers", "Divers may enter"),
                            ("divers_with_controls", "Divers may enter once the controls are in place"),
                            ("vehicle_first", "Vehicle first"),
                            ("vehicle_only", "Vehicle only"),
                            ("hold", "Hold"),
                        ],
                        max_length=24,
                    ),
                ),
                ("override_reason", models.TextField(blank=True)),
                ("assessed_at", models.DateTimeField()),
                ("received_at", models.DateTimeField()),
                (
                    "server_decision",
                    models.CharField(
                        choices=[
                            ("divers", "Divers may enter"),
                            ("divers_with_controls", "Divers may enter once the controls are in place"),
                            ("vehicle_first", "Vehicle first"),
                            ("vehicle_only", "Vehicle only"),
                            ("hold", "Hold"),
                        ],
                        max_length=24,
                    ),
                ),
                ("server_document", models.TextField()),
                ("receipt", models.TextField()),
                ("differs", models.BooleanField(default=False)),
                ("rival", models.BooleanField(default=False)),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "override_second",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrides_seconded",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "protocol",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments",
                        to="protocols.protocolversion",
                    ),
                ),
                (
                    "received_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments_sent",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "superseded_by",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="supersedes",
                        to="operations.assessment",
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments",
                        to="operations.operation",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Receipt",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=120)),
                ("body_sha256", models.CharField(max_length=64)),
                ("started_at", models.DateTimeField()),
                ("status", models.PositiveSmallIntegerField(null=True)),
                ("response", models.TextField(blank=True)),
                (
                    "agency",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="receipts", to="agencies.agency"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="receipts",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Signature",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("role", models.CharField(max_length=40)),
                (
                    "meaning",
                    models.CharField(
                        choices=[
                            ("decided", "Decided"),
                            ("reviewed", "Reviewed"),
                            ("briefed", "Briefed"),
                            ("overrode", "Agreed to less caution"),
                        ],
                        max_length=10,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("at_text", models.CharField(max_length=40)),
                ("algorithm", models.CharField(max_length=20)),
                ("public_key", models.CharField(max_length=64)),
                ("signature", models.CharField(max_length=120)),
                ("verified_at", models.DateTimeField()),
                (
                    "assessment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signatures",
                        to="operations.assessment",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signatures",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("closed_at__isnull", True), ("closed_at__gte", models.F("called_at")), _connector="OR"
                ),
                name="closed_after_the_call",
            ),
        ),
        migrations.AddConstraint(
            model_name="assessment",
            constraint=models.CheckConstraint(
                condition=models.Q(("revision__gte", 1)), name="revisions_count_from_one"
            ),
        ),
        migrations.AddConstraint(
            model_name="assessment",
            constraint=models.CheckConstraint(
                condition=models.Q(("score__isnull", True), ("score__lte", 100), _connector="OR"),
                name="score_up_to_100",
            ),
        ),
        migrations.AddConstraint(
            model_name="assessment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("override_second__isnull", True),
                    models.Q(("override_second", models.F("made_by")), _negated=True),
                    _connector="OR",
                ),
                name="override_by_a_second_person",
            ),
        ),
        migrations.AddConstraint(
            model_name="receipt",
            constraint=models.UniqueConstraint(fields=("agency", "key"), name="one_answer_to_a_key"),
        ),
        migrations.AddConstraint(
            model_name="signature",
            constraint=models.UniqueConstraint(
                fields=("assessment", "person", "meaning"), name="one_signature_of_a_meaning"
            ),
        ),
    ]
