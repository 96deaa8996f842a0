"""A signature made on the tablet holds for another program, and for nothing but what was signed."""

import base64
import hashlib

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from opsrisk.assessment.record import canonical
from tests.tablet.people import ITERATIONS, public_key_from

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

CODE = "größer als 8 Zeichen"
SALT = b"sixteen salt-bytes"
RECORD = hashlib.sha256(b"a record").hexdigest()


def person(**changes):
    signing = {
        "salt": base64.b64encode(SALT).decode(),
        "iterations": ITERATIONS,
        "public_key": public_key_from(CODE, SALT),
    }
    return {"id": "6f3c0d5e-5d0b-4a53-9a58-0f3f2a1f7c11", "name": "Ines Varga", "signing": signing | changes}


def act(code=CODE, **changes):
    return {
        "record": RECORD,
        "person": person(),
        "role": "supervisor",
        "meaning": "decided",
        "at": "2026-11-25T14:05:00-05:00",
        "code": code,
    } | changes


def message_of(signature):
    return canonical({name: signature[name] for name in ("record", "person", "name", "role", "meaning", "at")})


def holds(signature, message):
    key = Ed25519PublicKey.from_public_bytes(base64.b64decode(signature["public_key"]))
    try:
        key.verify(base64.b64decode(signature["signature"]), message)
    except InvalidSignature:
        return False
    return True


def test_the_browsers_key_is_the_one_that_other_programs_derive(module):
    """PBKDF2-HMAC-SHA256 and Ed25519 in WebCrypto give hashlib's and cryptography's public key."""
    assert module("signing.js", "publicKeyOf", CODE, person()["signing"]) == public_key_from(CODE, SALT)


def test_a_signature_holds_and_names_everything(module):
    """Who, as what, when, over which record; and the server's library finds it right."""
    signature = module("signing.js", "sign", act())
    assert signature["algorithm"] == "Ed25519"
    assert (signature["name"], signature["meaning"], signature["record"]) == ("Ines Varga", "decided", RECORD)
    assert holds(signature, message_of(signature))


@pytest.mark.parametrize("field", ["record", "person", "name", "role", "meaning", "at"])
def test_nothing_signed_can_be_exchanged(module, field):
    """A signature grafted onto another record, person, meaning or time does not hold."""
    signature = module("signing.js", "sign", act())
    grafted = signature | {field: signature[field][:-1] + ("x" if signature[field][-1] != "x" else "y")}
    assert not holds(signature, message_of(grafted))


@pytest.mark.parametrize("code", ["grösser als 8 Zeichen", "größer als 8 zeichen", "größer als 8 Zeichen ", "", "x"])
def test_another_code_signs_nothing(module, code):
    """The public key that a wrong code makes is not the roster's: the act is refused with what to do."""
    with pytest.raises(Exception, match=r"not the signing code of .Ines Varga"):
        module("signing.js", "sign", act(code))


def test_somebody_without_a_code_is_sent_to_the_desk(module):
    """No public key on the roster: there is nothing to compare with."""
    with pytest.raises(Exception, match="set at the desk"):
        module("signing.js", "sign", act(person=person(public_key="")))
