from django.db import migrations

from opsrisk.ledger.triggers import changed, refuse

ASSESSMENT = (
    "id",
    "operation_id",
    "revision",
    "previous",
    "record",
    "digest",
    "situation_digest",
    "protocol_id",
    "decision",
    "score",
    "own_decision",
    "chosen_decision",
    "override_reason",
    "override_second_id",
    "assessed_at",
    "made_by_id",
    "received_by_id",
    "received_at",
    "server_decision",
    "server_document",
    "receipt",
    "differs",
    "rival",
)
SIGNED = "a signed assessment is never changed: make the next revision"


class Migration(migrations.Migration):
    dependencies = [("operations", "0001_initial"), ("ledger", "0002_refusals")]
    operations = [
        migrations.RunPython(
            *refuse(
                "operations_assessment",
                "UPDATE",
                SIGNED,
                # The one thing that may still happen to it is being superseded, once.
                when=f"{changed(ASSESSMENT)} OR OLD.superseded_by_id IS NOT NULL",
            )
        ),
        migrations.RunPython(*refuse("operations_assessment", "DELETE", "a signed assessment is never deleted")),
        migrations.RunPython(*refuse("operations_signature", "UPDATE", "a signature is never changed")),
        migrations.RunPython(*refuse("operations_signature", "DELETE", "a signature is never deleted")),
    ]
