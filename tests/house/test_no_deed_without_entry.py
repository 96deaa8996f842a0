"""Where the log cannot be written, nothing is done: each action leaves every row as it was."""

from contextlib import contextmanager

import pytest
from django.apps import apps
from django.core import serializers
from django.db import transaction

from opsrisk.ledger.models import Entry, EntryQuerySet
from opsrisk.protocols import actions as protocols
from tests.house import deeds

OURS = ("ledger", "agencies", "protocols", "operations", "briefing", "review", "records", "sessions", "usersessions")


class LogIsFull(Exception):
    """The log cannot be written."""


def rows():
    """Every row of ours, as text."""
    models = [model for app in OURS for model in apps.get_app_config(app).get_models()]
    return {model._meta.label: serializers.serialize("json", model._base_manager.order_by("pk")) for model in models}


def full(*_, **__):
    raise LogIsFull


@contextmanager
def taken_back():
    """Whatever is done inside, so that the next action finds the same world."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def faults(world, name, monkeypatch):
    """What is wrong with one action."""
    with taken_back():
        before = rows()
        with monkeypatch.context() as broken, pytest.raises(LogIsFull):
            broken.setattr(EntryQuerySet, "bulk_create", full)
            deeds.deeds(world.again())[name]()
        if rows() != before:
            yield f"{name}: done without its entry"
    with taken_back():
        entries = Entry.objects.count()
        deeds.deeds(world.again())[name]()
        if Entry.objects.count() == entries:
            yield f"{name}: no entry"


@pytest.mark.django_db(transaction=True)
def test_a_log_that_cannot_be_written_undoes_every_deed(cast, monkeypatch):
    """With the entry failing, the action fails and not one row is added, changed or gone; without, it goes through."""
    monkeypatch.setattr(protocols, "is_proven", lambda _: True)
    world = deeds.world(cast)
    names = list(deeds.deeds(world.again()))
    assert [fault for name in names for fault in faults(world, name, monkeypatch)] == []


@pytest.mark.django_db
def test_no_action_is_left_out(cast):
    """A new one is missed here until it is among the deeds; one that is gone has to go there too."""
    named = {name.partition(" ")[0] for name in deeds.deeds(deeds.world(cast).again())}
    assert named == set(deeds.actions())
