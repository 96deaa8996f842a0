from django.db import migrations

from opsrisk.ledger.triggers import refuse

CHANGED = "a training day is never changed: enter the next one of the day"
DELETED = "a training day is never deleted"


class Migration(migrations.Migration):
    dependencies = [("records", "0003_training")]
    operations = [
        migrations.RunPython(*refuse(table, event, message))
        for table in ("records_trainingday", "records_trained")
        for event, message in (("UPDATE", CHANGED), ("DELETE", DELETED))
    ]
