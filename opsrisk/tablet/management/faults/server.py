"""The real server, middleware, sessions, database and all, answering the harness's tablets through a pipe.

Its clock is the schedule's. It can die with a request in hand: then the claim on the key is left behind, as a killed
process leaves it, and nothing else.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from http.cookies import SimpleCookie
from typing import Any
from unittest.mock import patch

from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.db import connection, connections
from django.db.models import Count
from django.test import Client
from django.utils import timezone

from opsrisk.agencies.models import Person
from opsrisk.assessment.record import canonical
from opsrisk.assessment.situation import Situation
from opsrisk.engine.parts import Protocol
from opsrisk.ledger.models import Entry
from opsrisk.operations import actions
from opsrisk.operations.models import Assessment, LogEntry, Photo
from opsrisk.operations.receipts import StillRunning, claim
from opsrisk.tablet.management.faults import county

Json = dict[str, Any]
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
SESSION = "sessionid"


class Server:
    def __init__(self) -> None:
        self.now = county.FOUNDED
        self.people = {str(person.pk): person for person in county.found()}
        self.client = Client(enforce_csrf_checks=True, raise_request_exception=False)
        self.results: list[Json] = []
        self.answers: Mapping[str, Callable[[Json], Json]] = {
            "county": self._county,
            "sign_in": self._sign_in,
            "expire": self._expire,
            "restart": self._restart,
            "http": self._http,
            "stored": self._stored,
            "result": self._result,
        }
        patch.object(timezone, "now", lambda: self.now).start()
        # Sending is on trial, not deciding: the answer to each of the few situations is worked out once.
        patch.object(actions, "assess", _once(actions.assess)).start()
        with connection.cursor() as cursor:
            # Nothing here outlives the run; that a commit reaches the disk is another test's matter.
            cursor.execute("PRAGMA synchronous=OFF")

    def answer(self, asked: Json) -> Json:
        if "now" in asked:
            self.now = datetime.fromtimestamp(asked["now"] / 1000, UTC)
        return self.answers[asked["kind"]](asked)

    def _county(self, asked: Json) -> Json:
        people = list(self.people)
        codes = dict.fromkeys(people, county.CODE)
        return {"people": people, "codes": codes, "templates": county.templates(), "picture": county.picture()}

    def _sign_in(self, asked: Json) -> Json:
        """A fresh session and, as at every sign-in, no token against forged requests yet."""
        person = self.people[asked["person"]]
        session = SessionStore()
        session.update({SESSION_KEY: str(person.pk), BACKEND_SESSION_KEY: BACKEND})
        session[HASH_SESSION_KEY] = person.get_session_auth_hash()
        session.create()
        return {"cookies": {SESSION: session.session_key, "csrftoken": ""}}

    def _expire(self, asked: Json) -> Json:
        Session.objects.filter(pk=asked["cookies"].get(SESSION, "")).delete()
        return {}

    def _restart(self, asked: Json) -> Json:
        connections.close_all()
        return {}

    def _http(self, asked: Json) -> Json:
        if asked.get("died"):
            self._die_with(asked)
            return {"status": 0, "body": "", "cookies": {}}
        client = self.client
        client.cookies = SimpleCookie({name: value for name, value in asked["cookies"].items() if value})
        kept = {name: value for name, value in asked["headers"].items() if name != "Content-Type"}
        response = client.generic(
            asked["method"],
            asked["path"],
            base64.b64decode(asked["body"]) if asked["bytes"] else asked["body"].encode(),
            content_type=asked["headers"].get("Content-Type", "application/octet-stream"),
            headers=kept,
            SERVER_NAME="localhost",
        )
        fresh = {name: morsel.value for name, morsel in response.cookies.items()}
        return {"status": response.status_code, "body": response.content.decode(), "cookies": fresh}

    def _die_with(self, asked: Json) -> None:
        session = Session.objects.filter(pk=asked["cookies"].get(SESSION, "")).first()
        key = asked["headers"].get("Idempotency-Key", "")
        if session is None or not key:
            return
        by = Person.objects.get(pk=session.get_decoded()["_auth_user_id"])
        try:
            claim(key=key, body=asked["body"].encode(), by=by, at=self.now)
        except StillRunning:
            return

    def _stored(self, asked: Json) -> Json:
        rows = Assessment.objects.filter(pk__in=asked["ids"]).annotate(signed=Count("signatures"))
        lines = LogEntry.objects.filter(pk__in=asked["lines"])
        photos = Photo.objects.filter(pk__in=asked["photos"])
        return {
            "records": [self._row(row) for row in rows],
            "lines": [self._line(line) for line in lines],
            "photos": [self._photo(photo) for photo in photos],
        }

    def _photo(self, photo: Photo) -> Json:
        entries = Entry.objects.filter(subject_id=str(photo.pk), verb="receive_photo").count()
        sent = {"received_by": str(photo.sent_by_id), "state": photo.state, "entries": entries}
        return {"id": str(photo.pk), "sha256": photo.sha256, "parts": photo.parts.count(), **sent}

    def _line(self, line: LogEntry) -> Json:
        entries = Entry.objects.filter(subject_id=str(line.pk)).count()
        return {"id": str(line.pk), "received_by": str(line.received_by_id), "entries": entries}

    def _row(self, row: Any) -> Json:
        copies = Assessment.objects.filter(digest=row.digest).count()
        sent = {"received_by": str(row.received_by_id), "signatures": row.signed, "copies": copies}
        return {"id": str(row.pk), "digest": row.digest, **sent}

    def _result(self, asked: Json) -> Json:
        self.results.append({name: value for name, value in asked.items() if name not in {"id", "kind"}})
        return {}


def _once(assess: Callable[[Situation, Protocol], Json]) -> Callable[[Situation, Protocol], Json]:
    known: dict[bytes, str] = {}

    def answer(situation: Situation, protocol: Protocol) -> Json:
        text = canonical(situation.document)
        if text not in known:
            known[text] = json.dumps(assess(situation, protocol))
        answer: Json = json.loads(known[text])
        return answer

    return answer


def serve(pipe: Any) -> list[Json]:
    """Answers one question a line until the other end has finished; what it reported, schedule by schedule."""
    server = Server()
    for line in pipe.stdout:
        asked = json.loads(line)
        pipe.stdin.write(json.dumps({"id": asked["id"], **server.answer(asked)}) + "\n")
        pipe.stdin.flush()
    return server.results
