from django.db import migrations, models

FIELD = "asks for a second factor"


class Migration(migrations.Migration):
    """New agencies ask for it; those that are here already decide for themselves when their people are ready."""

    dependencies = [("agencies", "0003_sonar_modes")]

    operations = [
        migrations.AddField("agency", "second_factor", models.BooleanField(FIELD, default=False)),
        migrations.AlterField("agency", "second_factor", models.BooleanField(FIELD, default=True)),
    ]
