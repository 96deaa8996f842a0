"""What the database itself refuses, after every migration: a table that SQLite builds anew loses its triggers."""

import pytest
from django.db import IntegrityError, connection, transaction

from opsrisk.operations.models import Assessment
from tests.operations.sending import adopt_baseline, received
from tests.operations.test_voids import declared_void

TABLES = (
    "ledger_entry", "operations_assessment", "operations_signature", "operations_logentry", "operations_photo",
    "records_diverecord", "records_trainingday", "records_trained",
    "records_retentionpolicy", "records_purge",
)  # fmt: skip
WANTED = {f"{table}_refuses_{event}" for table in TABLES for event in ("update", "delete")} | {
    "ledger_head_refuses_delete", "protocols_protocolversion_refuses_update", "protocols_protocolversion_refuses_delete",
}  # fmt: skip


@pytest.mark.django_db
def test_every_refusal_is_in_the_database():
    """By name, on both engines; a migration that loses one fails here."""
    sqlite = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(sqlite if connection.vendor == "sqlite" else "SELECT tgname FROM pg_trigger")
        there = {name for (name,) in cursor.fetchall()}
    assert there >= WANTED


def test_a_signed_assessment_is_neither_changed_nor_deleted_nor_its_void_taken_back(cast):
    """Superseded or not, it may be declared void once; everything else is refused by the database."""
    adopt_baseline(cast)
    first = received(cast)
    received(cast, number=2, revision=2, previous=first.digest)
    first.refresh_from_db()
    declared_void(cast, first)
    row = Assessment.objects.filter(pk=first.pk)
    for change in (
        {"record": "{}"},
        {"superseded_by": None},
        {"voided_at": None, "void_reason": "", "voided_by": None},
    ):
        with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
            row.update(**change)
    with connection.cursor() as cursor, pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        cursor.execute("DELETE FROM operations_assessment")
