from django.db import migrations

from opsrisk.ledger.triggers import refuse

TABLE = "records_diverecord"


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial"), ("ledger", "0002_refusals")]
    operations = [
        migrations.RunPython(*refuse(TABLE, "UPDATE", "a dive record is never changed: keep the next one of the dive")),
        migrations.RunPython(*refuse(TABLE, "DELETE", "a dive record is never deleted")),
    ]
