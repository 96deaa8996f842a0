"""Every action of the house as a call, on a world in which each of them can be done."""

import ast
import base64
from dataclasses import dataclass
from datetime import date, timedelta
from types import SimpleNamespace
from uuid import UUID

from allauth.usersessions.models import UserSession
from django.contrib.sessions.backends.db import SessionStore

from opsrisk.agencies import actions as agencies
from opsrisk.agencies import audit_actions, medical_actions
from opsrisk.agencies.models import Token
from opsrisk.assessment.record import canonical
from opsrisk.briefing import actions as briefing
from opsrisk.briefing import archive_actions
from opsrisk.briefing.models import Archive, Sheet
from opsrisk.operations import actions as operations
from opsrisk.operations import debrief_actions, log_actions, photo_actions, void_actions
from opsrisk.operations.models import PhotoPart
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.places import Place
from opsrisk.protocols.shipped import BASELINE
from opsrisk.records import dive_actions, purge_actions, retention_actions, training_actions
from opsrisk.review import import_actions, report_actions
from opsrisk.review.models import Report
from opsrisk.review.reports import Span
from tests.cast import NOON, Cast, public_key_of
from tests.house.reading import PACKAGE, tree
from tests.operations import photos, sending
from tests.operations.test_debrief import TOLD
from tests.operations.test_log import line
from tests.records.dives import told_of
from tests.records.old import asked_for
from tests.records.training import trained
from tests.review import past_files

LATER = sending.RECEIVED + timedelta(hours=1)
REASON = "The depth was read off the wrong gauge"
PASSWORD = "seven herons on the weir"
SEPTEMBER = Span(Report.Period.MONTH, date(2026, 9, 1), date(2026, 9, 30))
# Not among them: the ledger's own actions, which are the log, and review.actions, which keeps what can be worked out again.
ROOMS = ("agencies", "protocols", "operations", "briefing", "review", "records")


def actions():
    """`module.name` of every function that is told who or when, in the files that hold actions."""
    for room in ROOMS:
        for path in sorted((PACKAGE / room).glob("*actions.py")):
            for found in tree(path).body:
                told = found.args.kwonlyargs if isinstance(found, ast.FunctionDef) else ()
                if {"by", "at"} & {argument.arg for argument in told} and not found.name.startswith("_"):
                    yield f"{room}.{path.stem}.{found.name}"


@dataclass(frozen=True)
class World:
    """The cast and the rows that actions are done to."""

    cast: Cast
    rows: dict

    def again(self):
        """The rows as they stand in the database: no action finds what another one left in an object."""
        found = {name: type(row)._base_manager.get(pk=row.pk) for name, row in self.rows.items()}
        return SimpleNamespace(cast=self.cast, **found)


def world(cast):
    sending.adopt_baseline(cast)
    record = sending.received(cast)
    operation = record.operation
    text = BASELINE.read_text().replace('"version": "1.0.0"', '"version": "1.0.1"', 1)
    session = SessionStore()
    session.save()
    announced = photos.manifest(cast.supervisor, operation, photos.jpeg(), number=2)
    photos.announce(cast.supervisor, announced)
    for number, data in enumerate(photos.cut(photos.jpeg())):
        PhotoPart.objects.create(photo_id=UUID(announced["id"]), number=number, data=data)
    rows = {
        **cast.people, "agency": cast.agency, "vehicle": cast.vehicle, "site": cast.site, "installer": cast.installer,
        "record": record, "operation": operation,
        "sheet": Sheet.objects.create(assessment=record, paper="letter", code="0123456789", made_at=NOON),
        "archive": Archive.objects.create(operation=operation, reason=REASON, asked_by=cast.chief, asked_at=NOON),
        "draft": protocols.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON),
        "token": Token.objects.create(person=cast.chief, name="board", digest="0" * 64, made_at=NOON),
        "session": UserSession.objects.create(
            user=cast.diver, session_key=session.session_key, ip="192.0.2.1", user_agent="a tablet"
        ),
        "photo": photos.whole_photo(cast, operation),
        "waiting": import_actions.bring_import(
            data=past_files.file_of(past_files.row(1)), name="past.csv", by=cast.chief, at=sending.RECEIVED
        ),
        "purge": asked_for(cast, operation),
        "announced": PhotoPart.objects.first().photo,
    }  # fmt: skip
    return World(cast, rows)


def deeds(w):
    """Each action by the name that `actions` gives it; what follows after a blank tells calls of one action apart."""
    return {
        **{f"agencies.actions.{name}": act for name, act in _people(w).items()},
        **{f"agencies.actions.{name}": act for name, act in _things(w).items()},
        "agencies.medical_actions.note_examination": lambda: medical_actions.note_examination(
            person=w.diver, examined_on=date(2026, 3, 1), valid_until=date(2027, 3, 1), by=w.chief, at=LATER
        ),
        **{f"agencies.audit_actions.{name}": act for name, act in _noted(w).items()},
        **{f"protocols.actions.{name}": act for name, act in _rules(w).items()},
        **{f"operations.{name}": act for name, act in _work(w).items()},
        **{f"briefing.{name}": act for name, act in _papers(w).items()},
        **{f"records.{name}": act for name, act in _records(w).items()},
        **{f"review.import_actions.{name}": act for name, act in _past(w).items()},
        "review.report_actions.keep_report": lambda: report_actions.keep_report(
            agency=w.agency, span=SEPTEMBER, data=b"made", operations=1, at=LATER
        ),
    }


def _people(w):
    by = {"by": w.chief, "at": LATER}
    code = {"salt": base64.b64encode(b"0" * 16).decode(), "iterations": 600_000}
    return {
        "found_agency": lambda: agencies.found_agency(
            name="North Bank", slug="north", units="us", time_zone="UTC", by=w.installer, at=LATER
        ),
        "set_second_factor": lambda: agencies.set_second_factor(agency=w.agency, on=not w.agency.second_factor, **by),
        "set_language": lambda: agencies.set_language(agency=w.agency, language="es", decimal=",", **by),
        "enrol": lambda: agencies.enrol(
            agency=w.agency, email="new@tarrow.example", name="New", role="member", password=PASSWORD, **by
        ),
        "change_role": lambda: agencies.change_role(person=w.diver, role="supervisor", **by),
        "retire": lambda: agencies.retire(person=w.diver, **by),
        "end_sessions": lambda: agencies.end_sessions(person=w.diver, **by),
        "end_own_session": lambda: agencies.end_own_session(session=w.session, by=w.diver, at=LATER),
        "set_signing_code": lambda: agencies.set_signing_code(
            person=w.diver, **code, public_key=public_key_of(w.safety), by=w.diver, at=LATER
        ),
        "note_sign_in": lambda: agencies.note_sign_in(person=w.diver, verb="sign_in", at=LATER),
        "qualify": lambda: agencies.qualify(person=w.diver, kind="ice diver", limits={}, expires=None, **by),
        "make_token": lambda: agencies.make_token(person=w.chief, name="county board", **by),
        "revoke_token": lambda: agencies.revoke_token(token=w.token, **by),
    }


def _things(w):
    by = {"by": w.chief, "at": LATER}
    vehicle = {name: getattr(w.vehicle, name) for name in agencies.VEHICLE_FIELDS} | {"name": "Second"}
    site = {name: getattr(w.site, name) for name in agencies.SITE_FIELDS} | {"name": "Second"}
    station = {"id": "t1", "name": "Narrows", "lat": "45", "lon": "-120"}
    return {
        "add_vehicle": lambda: agencies.add_vehicle(agency=w.agency, **vehicle, **by),
        "change_vehicle": lambda: agencies.change_vehicle(vehicle=w.vehicle, **vehicle, **by),
        "retire_vehicle": lambda: agencies.retire_vehicle(vehicle=w.vehicle, **by),
        "add_site": lambda: agencies.add_site(agency=w.agency, **site, **by),
        "change_site": lambda: agencies.change_site(site=w.site, **site, **by),
        "retire_site": lambda: agencies.retire_site(site=w.site, **by),
        "load_stations": lambda: agencies.load_stations(stations=[station], by=w.installer, at=LATER),
    }


def _noted(w):
    return {
        "note_refusal": lambda: audit_actions.note_refusal(
            person=w.diver, method="GET", path="/review/", status=403, at=LATER
        ),
        "note_log_read": lambda: audit_actions.note_log_read(by=w.chief, asked={"verb": "refused"}, at=LATER),
        "note_way_in": lambda: audit_actions.note_way_in(by=w.diver, verb="change_password", at=LATER),
    }


def _rules(w):
    drawn = {"version": w.draft, "by": w.safety, "at": LATER}
    source = {"kind": "agency", "note": "Our own choice"}
    proof = {"digest": w.draft.digest, "engine": "1.0.0", "holds": True, "properties": []}
    return {
        "draft": lambda: protocols.draft(
            agency=w.agency, document=BASELINE.read_text().replace('"1.0.0"', '"1.0.2"', 1), by=w.safety, at=LATER
        ),
        "start_draft": lambda: protocols.start_draft(
            agency=w.agency, base=None, name="tarrow", version="1", title="Tarrow", by=w.safety, at=LATER
        ),
        "edit_draft": lambda: protocols.edit_draft(
            place=Place("lines", "rescue"), value={"value": "61"}, source=source, **drawn
        ),
        "discard_draft": lambda: protocols.discard_draft(**drawn),
        "ask_for_proof": lambda: protocols.ask_for_proof(**drawn),
        "keep_proof": lambda: protocols.keep_proof(version=w.draft.pk, proof=proof, at=LATER),
        "adopt": lambda: protocols.adopt(version=w.draft, by=w.chief, at=LATER, reason="Newer"),
    }


def _work(w):
    by = {"by": w.chief, "at": LATER}
    again = sending.record(w.cast, number=2, revision=2, previous=w.record.digest)
    first, late = sending.record(w.cast), sending.sign(sending.record(w.cast), w.diver, "briefed")
    photo = photos.manifest(w.supervisor, w.operation, photos.jpeg(), number=3)
    told = debrief_actions.Told(**TOLD)
    return {
        "actions.receive_record": lambda: sending.send(
            w.cast, sending.body(again, sending.sign(again, w.supervisor)), key="2"
        ),
        "actions.receive_record of a late signature": lambda: sending.send(
            w.cast, sending.body(first, sending.sign(first, w.supervisor), late), key="3"
        ),
        "actions.close_operation": lambda: operations.close_operation(operation=w.operation, outcome="Found", **by),
        "debrief_actions.debrief": lambda: debrief_actions.debrief(operation=w.operation, told=told, **by),
        "log_actions.receive_line": lambda: log_actions.receive_line(
            body=canonical(line(w.diver, w.operation)), by=w.diver, at=LATER
        ),
        "photo_actions.announce_photo": lambda: photos.announce(w.supervisor, photo, LATER),
        "photo_actions.receive_part": lambda: photo_actions.receive_part(
            photo=w.announced.pk, number=0, data=photos.cut(photos.jpeg())[0], by=w.supervisor, at=LATER
        ),
        "photo_actions.give_original": lambda: photo_actions.give_original(photo=w.photo, **by),
        "void_actions.void_record": lambda: void_actions.void_record(
            assessment=w.record, shown=void_actions.state(w.record), reason=REASON, **by
        ),
    }


def _past(w):
    by = {"by": w.chief, "at": LATER}
    shown = import_actions.read_waiting(w.waiting, LATER).digest
    data = past_files.file_of(past_files.row(2))
    return {
        "bring_import": lambda: import_actions.bring_import(data=data, name="more.csv", **by),
        "confirm_import": lambda: import_actions.confirm_import(waiting=w.waiting, shown=shown, **by),
        "drop_import": lambda: import_actions.drop_import(waiting=w.waiting, **by),
    }


def _papers(w):
    by = {"by": w.chief, "at": LATER}
    made = {"path": "x", "sha256": "0" * 64, "at": LATER}
    asked = w.sheet.made_at
    return {
        "actions.issue_sheet": lambda: briefing.issue_sheet(assessment=w.record, paper="a4", **by),
        "actions.keep_pdf": lambda: briefing.keep_pdf(sheet=w.sheet, asked_at=asked, **made),
        "actions.give_up": lambda: briefing.give_up(sheet=w.sheet, why="A fault", asked_at=asked, at=LATER),
        "actions.withdraw": lambda: briefing.withdraw(sheet=w.sheet, reason=REASON, **by),
        "archive_actions.ask_archive": lambda: archive_actions.ask_archive(operation=w.operation, reason=REASON, **by),
        "archive_actions.keep_archive": lambda: archive_actions.keep_archive(archive=w.archive, **made),
        "archive_actions.give_up_archive": lambda: archive_actions.give_up_archive(
            archive=w.archive, why="A fault", at=LATER
        ),
        "archive_actions.hand_out_archive": lambda: archive_actions.hand_out_archive(archive=w.archive, **by),
    }


def _records(w):
    by = {"by": w.chief, "at": LATER}
    return {
        "purge_actions.ask_purge": lambda: purge_actions.ask_purge(
            agency=w.agency, kind="training", reason=REASON, **by
        ),
        "purge_actions.agree_purge": lambda: purge_actions.agree_purge(purge=w.purge, by=w.safety, at=LATER),
        "retention_actions.set_retention": lambda: retention_actions.set_retention(
            agency=w.agency, years={"photos": "7"}, reason="", **by
        ),
        "training_actions.keep_training": lambda: training_actions.keep_training(
            agency=w.agency, told=trained(w.diver), replaces=None, **by
        ),
        "dive_actions.keep_dive": lambda: dive_actions.keep_dive(
            operation=w.operation, told=told_of(w.diver), replaces=None, **by
        ),
    }
