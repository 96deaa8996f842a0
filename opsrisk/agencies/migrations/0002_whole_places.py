from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("agencies", "0001_initial"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="site",
            name="site_is_on_earth",
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lat__isnull", True), ("lon__isnull", True)),
                    models.Q(
                        ("lat__gte", -90),
                        ("lat__isnull", False),
                        ("lat__lte", 90),
                        ("lon__gte", -180),
                        ("lon__isnull", False),
                        ("lon__lte", 180),
                    ),
                    _connector="OR",
                ),
                name="site_is_on_earth",
            ),
        ),
    ]
