from django.db import migrations

from opsrisk.ledger.triggers import changed, refuse

TABLE = "operations_assessment"
KEPT = (
    "id", "operation_id", "revision", "previous", "record", "digest", "situation_digest", "protocol_id", "decision", "score",
    "own_decision", "chosen_decision", "override_reason", "override_second_id", "assessed_at", "made_by_id", "received_by_id",
    "received_at", "server_decision", "server_document", "receipt", "differs", "rival", "correction",
)
VOID = ("voided_at", "voided_by_id", "void_reason")
# What may still happen to it, each once: being superseded, and being declared void (superseded or not).
CONDITION = (
    f"{changed(KEPT)} OR (OLD.superseded_by_id IS NOT NULL AND ({changed(('superseded_by_id',))}))"
    f" OR (OLD.voided_at IS NOT NULL AND ({changed(VOID)}))"
)


def take_away(apps, editor):
    """SQLite lost them when a constraint was added, since it then builds the table anew; PostgreSQL still has the first."""
    on = f" ON {TABLE}" if editor.connection.vendor == "postgresql" else ""
    for event in ("update", "delete"):
        editor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_refuses_{event}{on}", None)


class Migration(migrations.Migration):
    dependencies = [("operations", "0007_photos")]
    operations = [
        migrations.RunPython(take_away, migrations.RunPython.noop),
        migrations.RunPython(*refuse(TABLE, "UPDATE", "a signed assessment is never changed: make the next revision", when=CONDITION)),
        migrations.RunPython(*refuse(TABLE, "DELETE", "a signed assessment is never deleted")),
    ]
