import django.db.models.deletion
from django.db import migrations, models

from opsrisk.ledger.triggers import all_of, changed, refuse

TABLE = "protocols_protocolversion"
MESSAGE = "an adopted protocol is never changed: draft the next version"
BEFORE = (
    "id", "agency_id", "protocol_id", "version", "digest", "document", "author_id", "drafted_at", "proof",
    "adopted_by_id", "adopted_at", "effective_from",
)
ADDED = ("based_on_id", "reason")


def refusal(columns):
    """Creates and drops the trigger that keeps `columns` of an adopted version as they are."""
    state = "NEW.state = 'draft' OR (OLD.state = 'superseded' AND NEW.state <> 'superseded')"
    return refuse(TABLE, "UPDATE", MESSAGE, when=all_of(["OLD.state <> 'draft'", f"{changed(columns)} OR {state}"]))


class Migration(migrations.Migration):
    dependencies = [("protocols", "0002_refusals")]
    # SQLite adds a column by making the table anew, which would lose its triggers unseen: they go first and come back.
    operations = [
        migrations.RunPython(*reversed(refusal(BEFORE))),
        migrations.RunPython(*reversed(refuse(TABLE, "DELETE", "an adopted protocol is never deleted", when="OLD.state <> 'draft'"))),
        migrations.AddField(
            model_name="protocolversion",
            name="based_on",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="drafts_from_it",
                to="protocols.protocolversion",
            ),
        ),
        migrations.AddField(
            model_name="protocolversion",
            name="reason",
            field=models.TextField(blank=True, default=""),
            preserve_default=False,
        ),
        migrations.RunPython(*refuse(TABLE, "DELETE", "an adopted protocol is never deleted", when="OLD.state <> 'draft'")),
        migrations.RunPython(*refusal((*BEFORE, *ADDED))),
    ]
