from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("index", models.PositiveBigIntegerField(primary_key=True, serialize=False)),
                ("at", models.DateTimeField()),
                ("logged_at", models.DateTimeField()),
                ("agency_id", models.UUIDField(db_index=True, null=True)),
                ("actor", models.CharField(max_length=64)),
                ("actor_name", models.CharField(max_length=200)),
                ("verb", models.CharField(max_length=64)),
                ("subject_type", models.CharField(max_length=64)),
                ("subject_id", models.CharField(max_length=64)),
                ("detail", models.TextField()),
                ("leaf_hash", models.CharField(max_length=64)),
            ],
            options={
                "verbose_name_plural": "entries",
                "indexes": [models.Index(fields=["subject_type", "subject_id"], name="entry_subject")],
            },
        ),
        migrations.CreateModel(
            name="Head",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("size", models.PositiveBigIntegerField(default=0)),
                ("root", models.CharField(max_length=64)),
                ("peaks", models.TextField(default="[]")),
                ("at", models.DateTimeField(null=True)),
                ("key_id", models.CharField(default="", max_length=16)),
                ("signature", models.CharField(default="", max_length=100)),
            ],
            options={
                "constraints": [models.CheckConstraint(condition=models.Q(("id", 1)), name="only_one_head")],
            },
        ),
    ]
