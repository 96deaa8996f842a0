from django.db import migrations

from opsrisk.ledger.triggers import refuse


class Migration(migrations.Migration):
    dependencies = [("ledger", "0001_initial")]
    operations = [
        migrations.RunPython(*refuse("ledger_entry", "UPDATE", "ledger entries are never changed")),
        migrations.RunPython(*refuse("ledger_entry", "DELETE", "ledger entries are never deleted")),
        migrations.RunPython(*refuse("ledger_head", "DELETE", "the head of the ledger is never deleted")),
    ]
