from django.db import migrations

from opsrisk.ledger.triggers import all_of, changed, refuse

FIXED = (
    "id",
    "agency_id",
    "protocol_id",
    "version",
    "digest",
    "document",
    "author_id",
    "drafted_at",
    "proof",
    "adopted_by_id",
    "adopted_at",
    "effective_from",
)
TABLE = "protocols_protocolversion"


class Migration(migrations.Migration):
    dependencies = [("protocols", "0001_initial"), ("ledger", "0002_refusals")]
    operations = [
        migrations.RunPython(
            *refuse(
                TABLE,
                "UPDATE",
                "an adopted protocol is never changed: draft the next version",
                when=all_of(
                    [
                        "OLD.state <> 'draft'",
                        f"{changed(FIXED)} OR NEW.state = 'draft' OR (OLD.state = 'superseded' AND NEW.state <> 'superseded')",
                    ]
                ),
            )
        ),
        migrations.RunPython(
            *refuse(TABLE, "DELETE", "an adopted protocol is never deleted", when="OLD.state <> 'draft'")
        ),
    ]
