import uuid

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("operations", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Sheet",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("paper", models.CharField(choices=[("a4", "A4"), ("letter", "Letter")], max_length=6)),
                (
                    "state",
                    models.CharField(
                        choices=[("queued", "Being made"), ("ready", "Ready"), ("failed", "Failed")],
                        default="queued",
                        max_length=6,
                    ),
                ),
                ("pdf", models.CharField(blank=True, max_length=200)),
                ("sha256", models.CharField(blank=True, max_length=64)),
                ("code", models.CharField(db_index=True, max_length=10)),
                ("made_at", models.DateTimeField()),
                (
                    "assessment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sheets", to="operations.assessment"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("assessment", "paper"), name="one_sheet_of_a_paper"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "ready"), _negated=True),
                            models.Q(models.Q(("pdf", ""), _negated=True), models.Q(("sha256", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="ready_means_a_file",
                    ),
                ],
            },
        ),
    ]
