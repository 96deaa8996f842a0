"""People with signing codes and an agency that decides by the baseline, for every test in a browser."""

import base64
import hashlib
from collections.abc import Callable
from functools import cache

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.conf import settings as django_settings
from django.test import Client

from opsrisk.agencies import actions
from opsrisk.agencies.models import Person, Qualification
from opsrisk.assessment.language import Language
from opsrisk.assessment.record import digest
from opsrisk.briefing.languages import catalogue
from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON, Cast
from tests.tablet.hands import CODE, Hands

ITERATIONS = 600_000


@cache  # a quarter of a second each, for people who are the same in every test
def public_key_from(code: str, salt: bytes) -> str:
    """What the tablet must arrive at, worked out by other programs: hashlib and cryptography."""
    seed = hashlib.pbkdf2_hmac("sha256", code.encode(), salt, ITERATIONS, 32)
    return base64.b64encode(Ed25519PrivateKey.from_private_bytes(seed).public_key().public_bytes_raw()).decode()


def give_code(person: Person, code: str = CODE) -> None:
    salt = person.pk.bytes
    key = public_key_from(code, salt)
    actions.set_signing_code(
        person=person, salt=base64.b64encode(salt).decode(), iterations=ITERATIONS, public_key=key, by=person, at=NOON
    )


@pytest.fixture
def county(transactional_db, cast: Cast) -> Cast:
    """The cast, with codes, and the baseline adopted."""
    for person in (cast.supervisor, cast.deputy, cast.safety):
        give_code(person)
    for person, kinds in (
        (cast.supervisor, ("supervisor",)),
        (cast.diver, ("diver",)),
        (cast.deputy, ("standby_diver", "supervisor")),
    ):
        for kind in kinds:
            Qualification.objects.create(person=person, kind=kind)
    text = BASELINE.read_text()
    protocol = read_protocol(text)
    ProtocolVersion.objects.create(
        agency=cast.agency, protocol_id=protocol.id, version=protocol.version, digest=digest(protocol.document),
        document=text, state="adopted", author=cast.safety, drafted_at=NOON, adopted_by=cast.chief, adopted_at=NOON,
        effective_from=NOON,
    )  # fmt: skip
    return cast


@pytest.fixture
def signed_in(context, live_server) -> Callable[[Person], None]:
    """Puts a person's session into the browser."""

    def sign_in(person: Person) -> None:
        client = Client()
        client.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
        value = client.cookies[django_settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": django_settings.SESSION_COOKIE_NAME, "value": value, "url": live_server.url}])

    return sign_in


@pytest.fixture
def hands(county: Cast, signed_in, page) -> Hands:
    """The supervisor's hands, at the start page, without the service worker: its downloads would slow every test."""
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    signed_in(county.supervisor)
    found = Hands(page)
    found.open()
    return found


@pytest.fixture
def installed(county: Cast, signed_in, page) -> Hands:
    """The same with the service worker, after a first visit that has brought everything."""
    signed_in(county.supervisor)
    found = Hands(page)
    found.open()
    page.evaluate("navigator.serviceWorker.ready")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return found


@pytest.fixture
def spanish(county: Cast, signed_in, page) -> Hands:
    """The same hands at a tablet of an agency that works in Spanish and writes a decimal comma."""
    county.agency.language, county.agency.decimal = "es", ","
    county.agency.save()
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    signed_in(county.supervisor)
    found = Hands(page, language=Language(catalogue("es"), tag="es", decimal=","))
    found.open()
    return found
