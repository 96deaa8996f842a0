"""The protocol of sending against the real receiver, step by step: whatever is lost or repeated on the way, at the end
each record is stored once, as its owner's, with every signature, and the box let go of nothing before its receipt."""

import hashlib
import json
from datetime import timedelta
from uuid import uuid4

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import digest
from opsrisk.operations.models import Assessment
from opsrisk.operations.receipts import KeyReused, StillRunning, claim
from tests.operations.sending import RECEIVED, body, record, send, sign, situation

FATES = ("through", "request lost", "answer lost", "twice", "server died")
CURRENTS = ("0", "0.5", "2")


class Box:
    """One record as its tablet holds it."""

    def __init__(self, made, owner, first):
        self.made, self.owner, self.signatures, self.received = made, owner, [first], False

    @property
    def content(self):
        return body(self.made, *self.signatures)

    @property
    def key(self):
        return hashlib.sha256(self.content).hexdigest()

    def hears(self, answer):
        receipt = json.loads(answer.response)
        assert receipt["digest"] == digest(self.made)
        self.received = {digest(one) for one in self.signatures} <= set(receipt["signatures"])
        assert self.received


class Sending(RuleBasedStateMachine):
    crew = None  # the people of the test that runs it
    boxes = Bundle("boxes")

    def __init__(self):
        super().__init__()
        self.all, self.now = [], RECEIVED

    @rule(target=boxes, current=st.sampled_from(CURRENTS), owner=st.sampled_from(["supervisor", "deputy"]))
    def finish(self, current, owner):
        person = getattr(self.crew, owner)
        reading = {"value": current, "unit": "kn", "how": "measured"}
        operation = {"id": str(uuid4()), "title": "Training", "site": None, "place": ""}
        made = record(self.crew, situation(readings__current=reading), operation=operation) | {"id": str(uuid4())}
        return self._boxed(made, person)

    @rule(target=boxes, before=boxes)
    def revise(self, before):
        changes = {"id": str(uuid4()), "revision": before.made["revision"] + 1, "previous": digest(before.made)}
        return self._boxed(before.made | changes, before.owner)

    def _boxed(self, made, person):
        box = Box(made, person, sign(made, person))
        self.all.append(box)
        return box

    @rule(box=boxes)
    def sign_too(self, box):
        if len(box.signatures) == 1:
            box.signatures.append(sign(box.made, self.crew.diver, "briefed"))
            box.received = False

    @rule(box=boxes, fate=st.sampled_from(FATES))
    def deliver(self, box, fate):
        if fate == "request lost":
            return
        if fate == "server died":
            self._die(box)
            return
        for _ in range(2 if fate == "twice" else 1):
            try:
                answer = send(self.crew, box.content, key=box.key, by=box.owner, at=self.now)
            except StillRunning:
                return
            except Refused as refused:  # only ever because its forerunner is not here yet
                assert refused.errors[0][0] == "record.previous"
                return
        if fate != "answer lost":
            box.hears(answer)

    def _die(self, box):
        try:
            claimed = claim(key=box.key, body=box.content, by=box.owner, at=self.now)
        except (StillRunning, KeyReused):
            return
        assert claimed is not None

    @rule(minutes=st.sampled_from([0, 2]))
    def wait(self, minutes):
        self.now += timedelta(minutes=minutes)

    @invariant()
    def what_is_called_received_is_there(self):
        for box in self.all:
            if box.received:
                stored = Assessment.objects.get(pk=box.made["id"])
                assert stored.digest == digest(box.made)
                assert stored.received_by == box.owner

    def teardown(self):
        self.now += timedelta(hours=1)
        for box in self.all:
            box.hears(send(self.crew, box.content, key=box.key, by=box.owner, at=self.now))
            stored = Assessment.objects.get(digest=digest(box.made))
            assert stored.signatures.count() == len(box.signatures)
            assert stored.received_by == box.owner


def test_nothing_is_lost_doubled_or_sent_as_somebody_else(crew, monkeypatch):
    """Twelve runs of fifteen steps; more, and the real client, in `manage.py field_faults`."""
    monkeypatch.setattr(Sending, "crew", crew)
    run_state_machine_as_test(Sending, settings=settings(max_examples=12, stateful_step_count=15, deadline=None))
