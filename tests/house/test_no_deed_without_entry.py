"""Where the log cannot be written, nothing is done: each action leaves every row as it was."""

from datetime import timedelta

import pytest
from django.apps import apps
from django.core import serializers

from opsrisk.agencies import actions as agencies
from opsrisk.assessment.record import canonical
from opsrisk.briefing import actions as briefing
from opsrisk.briefing import archive_actions
from opsrisk.briefing.models import Sheet
from opsrisk.operations import actions as operations
from opsrisk.operations import void_actions
from opsrisk.operations.log_actions import receive_line
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON
from tests.operations import sending
from tests.operations.test_log import line

LATER = sending.RECEIVED + timedelta(hours=1)
OURS = ("ledger", "agencies", "protocols", "operations", "briefing")


class LogIsFull(Exception):
    """The log cannot be written."""


def rows():
    """Every row of ours, as text."""
    models = [model for app in OURS for model in apps.get_app_config(app).get_models()]
    return {model._meta.label: serializers.serialize("json", model._base_manager.order_by("pk")) for model in models}


def deeds(cast, stored, sheet, draft):
    """One of each kind of action, as a call."""
    again = sending.record(cast, number=2, revision=2, previous=stored.digest)
    late = sending.sign(sending.record(cast), cast.diver, "briefed")
    first = sending.record(cast)
    return {
        "a record comes": lambda: sending.send(cast, sending.body(again, sending.sign(again, cast.supervisor)), key="2"),
        "a signature comes": lambda: sending.send(
            cast, sending.body(first, sending.sign(first, cast.supervisor), late), key="3"
        ),
        "a line comes": lambda: receive_line(
            body=canonical(line(cast.diver, stored.operation)), by=cast.diver, at=LATER
        ),
        "an operation is closed": lambda: operations.close_operation(
            operation=stored.operation, outcome="Found", by=cast.chief, at=LATER
        ),
        "a sheet is issued": lambda: briefing.issue_sheet(assessment=stored, paper="a4", by=cast.chief, at=LATER),
        "a sheet is sealed": lambda: briefing.keep_pdf(
            sheet=sheet, path="x", sha256="0" * 64, asked_at=sheet.made_at, at=LATER
        ),
        "a sheet is withdrawn": lambda: briefing.withdraw(
            sheet=sheet, reason="The diver was named wrongly", by=cast.chief, at=LATER
        ),
        "an archive is asked for": lambda: archive_actions.ask_archive(
            operation=stored.operation, reason="For the county coroner", by=cast.chief, at=LATER
        ),
        "a protocol is adopted": lambda: protocols.adopt(version=draft, by=cast.chief, at=LATER, reason="Newer"),
        "a person is enrolled": lambda: agencies.enrol(
            agency=cast.agency, email="new@tarrow.example", name="New", role="member", password="seven herons on the weir",
            by=cast.chief, at=LATER,
        ),
        "a person is retired": lambda: agencies.retire(person=cast.diver, by=cast.chief, at=LATER),
        "a role is changed": lambda: agencies.change_role(person=cast.diver, role="supervisor", by=cast.chief, at=LATER),
    }  # fmt: skip


def more_deeds(cast, stored):
    """Those that came later."""
    return {
        "a record is declared void": lambda: void_actions.void_record(
            assessment=stored,
            shown=void_actions.state(stored),
            reason="The depth was read off the wrong gauge",
            by=cast.chief,
            at=LATER,
        ),
        "a second factor is asked for": lambda: agencies.set_second_factor(
            agency=cast.agency, on=True, by=cast.chief, at=LATER
        ),
    }


KINDS = 14


@pytest.mark.parametrize("number", range(KINDS))
@pytest.mark.django_db(transaction=True)
def test_a_log_that_cannot_be_written_undoes_the_deed(cast, monkeypatch, number):
    """With the entry failing, the action fails and not one row is added, changed or gone; without, it goes through."""
    sending.adopt_baseline(cast)
    stored = sending.received(cast)
    sheet = Sheet.objects.create(assessment=stored, paper="letter", code="0123456789", made_at=NOON)
    text = BASELINE.read_text().replace('"version": "1.0.0"', '"version": "1.0.1"', 1)
    draft = protocols.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    monkeypatch.setattr(protocols, "is_proven", lambda _: True)
    found = deeds(cast, stored, sheet, draft) | more_deeds(cast, stored)
    assert len(found) == KINDS
    name = list(found)[number]

    def full(**_):
        raise LogIsFull

    before = rows()
    with monkeypatch.context() as broken:
        broken.setattr("opsrisk.agencies.entries.append", full)
        with pytest.raises(LogIsFull):
            found[name]()
    assert rows() == before, name
    found[name]()
    assert rows() != before, name
