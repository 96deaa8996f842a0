from django.db import migrations

from opsrisk.ledger.triggers import changed, refuse

DIVE = (
    "id", "operation_id", "dive", "number", "diver_id", "diver_name", "in_charge", "team", "place", "in_at", "out_at", "mode",
    "mode_words", "work", "from_record", "conditions", "conditions_words", "max_depth", "depth_unit", "bottom_minutes",
    "decompression", "injury", "incidents", "reason", "by_id", "at", "sha256",
)
DAY = ("id", "agency_id", "day", "number", "held_on", "what", "hours", "guests", "reason", "by_id", "at", "sha256")
TABLES = (
    ("records_diverecord", DIVE, "a dive record is", "keep the next one of the dive"),
    ("records_trainingday", DAY, "a training day is", "enter the next one of the day"),
    ("records_trained", ("id", "training_id", "person_id"), "a training day is", "enter the next one of the day"),
)
ASKED = ("id", "agency_id", "kind", "what", "reason", "asked_by_id", "asked_at")
AGREED = ("agreed_by_id", "agreed_at")


def take_away(apps, editor):
    """A row may now name, once, the purge by which it goes; SQLite may have lost the triggers with the new column."""
    for table, *_ in TABLES:
        on = f" ON {table}" if editor.connection.vendor == "postgresql" else ""
        for event in ("update", "delete"):
            editor.execute(f"DROP TRIGGER IF EXISTS {table}_refuses_{event}{on}", None)


def refusals():
    for table, kept, what, instead in TABLES:
        yield refuse(table, "UPDATE", f"{what} never changed: {instead}", when=f"{changed(kept)} OR OLD.purge_id IS NOT NULL")
        yield refuse(table, "DELETE", f"{what} never deleted but by a purge", when="OLD.purge_id IS NULL")
    once = f"{changed(ASKED)} OR (OLD.agreed_at IS NOT NULL AND ({changed(AGREED)}))"
    yield refuse("records_purge", "UPDATE", "a purge is never changed: it is agreed to once", when=once)
    yield refuse("records_purge", "DELETE", "a purge is never deleted")


class Migration(migrations.Migration):
    dependencies = [("records", "0007_purge")]
    operations = [
        migrations.RunPython(take_away, migrations.RunPython.noop),
        *(migrations.RunPython(*both) for both in refusals()),
    ]
