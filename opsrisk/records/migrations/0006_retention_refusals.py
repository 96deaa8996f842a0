from django.db import migrations

from opsrisk.ledger.triggers import refuse

TABLE = "records_retentionpolicy"


class Migration(migrations.Migration):
    dependencies = [("records", "0005_retention")]
    operations = [
        migrations.RunPython(*refuse(TABLE, "UPDATE", "periods are never changed: set the next ones")),
        migrations.RunPython(*refuse(TABLE, "DELETE", "periods are never deleted")),
    ]
