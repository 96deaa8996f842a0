"""The wall between agencies: every address, by everybody, on one's own things and on a neighbour's.

The addresses come from the URLconf. One that is not in the table below fails the build, so that nobody adds a page
without saying who may open it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import pytest
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from opsrisk.agencies import actions
from opsrisk.assessment.words import short_code
from opsrisk.briefing.models import Archive, Sheet
from opsrisk.review.models import Report
from opsrisk.review.report_actions import keep_report
from opsrisk.review.reports import Span
from tests.cast import NOON, without_token
from tests.house.set_up_pages import set_up_paths, to_sign_in
from tests.operations.photos import whole_photo
from tests.operations.sending import adopt_baseline, received
from tests.records.old import asked_for
from tests.review.past_files import GOOD, brought

SUPERVISOR, MEMBER, CHIEF, SAFETY = "supervisor", "diver", "chief", "safety"
ALL = {SUPERVISOR, MEMBER, CHIEF, SAFETY}
NEIGHBOURS = {SUPERVISOR: "neighbour_supervisor", CHIEF: "neighbour_chief"}
# What no stranger may ever read: names, places and kit of the agency.
CANARIES = ("Tarrow", "Ines Varga", "Mara Quill", "Quarry basin", "Otter", "north steps")


@dataclass(frozen=True)
class Page:
    method: str = "get"
    of: str = ""  # whose thing it shows: the name of an object below; "" for none
    may: frozenset[str] | set[str] = frozenset(ALL)
    refused: int = 403  # to colleagues who may not
    stranger: str = "sign in"  # or "in" for public pages, or an API's 401


PUBLIC = Page(stranger="in")
POST = "post"
FIRST_MONTH = Span(Report.Period.MONTH, date(2026, 1, 1), date(2026, 1, 31))
PAGES = {
    "healthz": PUBLIC,
    "home": Page(),
    # signing in: everybody's own
    "account_login": PUBLIC,
    "account_logout": Page(),
    "account_inactive": PUBLIC,
    "account_signup": PUBLIC,
    "account_reauthenticate": Page(),
    "account_change_password": Page(),
    "account_set_password": Page(),
    "account_reset_password": PUBLIC,
    "account_reset_password_done": PUBLIC,
    "account_reset_password_from_key": PUBLIC,
    "account_reset_password_from_key_done": PUBLIC,
    "mfa_index": Page(),
    "mfa_list_webauthn": Page(),
    "mfa_add_webauthn": Page(),
    "mfa_reauthenticate_webauthn": Page(),
    "mfa_remove_webauthn": Page(of="passkey", may=set(), refused=404),
    "mfa_edit_webauthn": Page(of="passkey", may=set(), refused=404),
    "mfa_login_webauthn": Page(),  # a stranger who asks without a script is shown the sign-in page
    "mfa_authenticate": Page(stranger="sign in"),
    "mfa_reauthenticate": Page(),
    "mfa_activate_totp": Page(),
    "mfa_deactivate_totp": Page(refused=404),
    "mfa_view_recovery_codes": Page(),
    "mfa_generate_recovery_codes": Page(),
    "mfa_download_recovery_codes": Page(),
    # people, kit, places
    "people": Page(),
    "enrol": Page(may={CHIEF}),
    "person": Page(of="person"),
    "qualify": Page(POST, of="person", may={CHIEF, SAFETY}),
    "medical": Page(POST, of="person", may={CHIEF, SAFETY}),
    "expiring": Page(),
    "change_role": Page(POST, of="person", may={CHIEF}),
    "retire": Page(POST, of="person", may={CHIEF}),
    "end_sessions": Page(POST, of="person", may={CHIEF}),
    "second_factor": Page(may={CHIEF}),
    "end_own_session": Page(POST, of="session", may={CHIEF}, refused=404),
    "language": Page(may={CHIEF}),
    "kit": Page(),
    "add_vehicle": Page(POST, may={SUPERVISOR, CHIEF, SAFETY}),
    "vehicle": Page(POST, of="vehicle", may={SUPERVISOR, CHIEF, SAFETY}),
    "retire_vehicle": Page(POST, of="vehicle", may={SUPERVISOR, CHIEF, SAFETY}),
    "sites": Page(),
    "add_site": Page(POST, may={SUPERVISOR, CHIEF, SAFETY}),
    "site": Page(POST, of="site", may={SUPERVISOR, CHIEF, SAFETY}),
    "retire_site": Page(POST, of="site", may={SUPERVISOR, CHIEF, SAFETY}),
    "nearby_stations": Page(),
    "me": Page(),
    "signing_code": Page(),
    "make_token": Page(),
    "revoke_token": Page(POST, of="token", may={CHIEF}, refused=404),
    # protocols
    "protocols": Page(),
    "protocol": Page(of="protocol"),
    "protocol_document": Page(of="protocol"),
    "adopt_protocol": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    "draft_baseline": Page(POST, may={CHIEF, SAFETY}),
    "bring_protocol": Page(POST, may={CHIEF, SAFETY}),
    "start_protocol": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    "protocol_proof": Page(of="protocol"),
    "protocol_differences": Page(of="protocol"),
    "prove_protocol": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    "discard_protocol": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    "entry": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    "new_entry": Page(POST, of="protocol", may={CHIEF, SAFETY}),
    # operations
    "operations": Page(),
    "operation": Page(of="operation"),
    "operation_plan": Page(of="operation"),
    "operation_apart": Page(of="operation"),
    "operation_debrief": Page(of="operation"),
    "close_operation": Page(POST, of="operation", may={SUPERVISOR, CHIEF}),
    "assessment": Page(of="assessment"),
    "assessment_record": Page(of="assessment"),
    "void_record": Page(POST, of="assessment", may={SUPERVISOR, CHIEF, SAFETY}),
    "photo": Page(of="photo"),
    "photo_original": Page(POST, of="photo", may={CHIEF, SAFETY}),
    # records
    "operation_dives": Page(of="operation"),
    "keep_dive": Page(POST, of="operation", may={SUPERVISOR, CHIEF, SAFETY}),
    "correct_dive": Page(POST, of="operation", may={SUPERVISOR, CHIEF, SAFETY}),
    "records": Page(),
    "person_log": Page(of="person", may={MEMBER, CHIEF, SAFETY}),
    "person_dives_csv": Page(of="person", may={MEMBER, CHIEF, SAFETY}),
    "training": Page(),
    "keep_training": Page(POST, may={SUPERVISOR, CHIEF, SAFETY}),
    "correct_training": Page(POST, may={SUPERVISOR, CHIEF, SAFETY}),
    "retention": Page(may={CHIEF, SAFETY}),
    "set_retention": Page(POST, may={CHIEF}),
    "ask_purge": Page(POST, may={CHIEF, SAFETY}),
    "agree_purge": Page(POST, of="purge", may={CHIEF, SAFETY}),
    "dives_csv": Page(may={CHIEF, SAFETY}),
    "dives_definitions": Page(),
    # sheets
    "issue_sheet": Page(POST, of="assessment", may={SUPERVISOR, CHIEF, SAFETY}),
    "sheet": Page(of="sheet"),
    "sheet_pdf": Page(of="sheet"),
    "sheet_print": Page(of="sheet"),
    "withdraw_sheet": Page(POST, of="sheet", may={SUPERVISOR, CHIEF, SAFETY}),
    "archives": Page(of="operation", may={CHIEF, SAFETY}),
    "archive_file": Page(of="archive", may={CHIEF, SAFETY}),
    "public_sheet": PUBLIC,
    # review
    "review": Page(may={CHIEF, SAFETY}),
    "review_csv": Page(may={CHIEF, SAFETY}),
    "review_spreadsheet": Page(may={CHIEF, SAFETY}),
    "import_operations": Page(may={CHIEF, SAFETY}),
    "import_template": Page(may={CHIEF, SAFETY}),
    "import_waiting": Page(of="waiting", may={CHIEF}, refused=404),
    "import_left_out": Page(of="waiting", may={CHIEF}, refused=404),
    "review_patterns": Page(may={CHIEF, SAFETY}),
    "review_rules": Page(may={CHIEF, SAFETY}),
    "reports": Page(may={CHIEF, SAFETY}),
    "report_pdf": Page(of="report", may={CHIEF, SAFETY}),
    "review_definitions": Page(may={CHIEF, SAFETY}),
    "log": Page(may={CHIEF, SAFETY}),
    "calibration": Page(may={CHIEF, SAFETY}),
    "what_if": Page(of="protocol", may={CHIEF, SAFETY}),
    "what_if_effect": Page(of="protocol", may={CHIEF, SAFETY}),
    # the tablet's shell holds nothing of any agency; its data ask for sign-in
    "tablet:page": PUBLIC,
    "tablet:service_worker": PUBLIC,
    "tablet:worker": PUBLIC,
    "tablet:manifest": PUBLIC,
    "tablet:bundle_zip": PUBLIC,
    "tablet:bundle_json": PUBLIC,
    "tablet:session": PUBLIC,  # says that nobody is signed in
    "tablet:kit": Page(stranger="401"),
    "tablet:operations": Page(stranger="401"),
    "tablet:operation": Page(of="operation", stranger="401"),
    "tablet:log": Page(POST, stranger="401"),
    "tablet:photos": Page(POST, stranger="401"),
    "tablet:photo_part": Page(POST, of="photo", stranger="401"),
    "tablet:received": Page(stranger="401"),
    # the API
    "api_schema": PUBLIC,
    "document_schema": PUBLIC,
    "api_records": Page(POST, may={SUPERVISOR, CHIEF}, stranger="401"),
    "api_assess": Page(POST, stranger="401"),
    "api_computations": Page(stranger="401"),
    "api_computation": Page(stranger="401"),
    "api_plan": Page(POST, stranger="401"),
    "api_operations": Page(stranger="401"),
    "api_operation": Page(of="operation", stranger="401"),
    "api_assessments": Page(stranger="401"),
    "api_assessment": Page(of="assessment", stranger="401"),
    "api_protocols": Page(stranger="401"),
    "api_protocol_in_force": Page(stranger="401"),
    "api_protocol": Page(of="protocol", stranger="401"),
    "api_people": Page(stranger="401"),
    "api_sites": Page(stranger="401"),
    "api_vehicles": Page(stranger="401"),
    "api_stations": Page(stranger="401"),
    "api_sheets": Page(stranger="401"),
    "api_review": Page(may={CHIEF, SAFETY}, stranger="401"),
    "api_ledger_head": Page(may={CHIEF, SAFETY}, stranger="401"),
}
# Shut to everybody here, own things included: the cast has no password, no second step and no finished sheet.
NOT_SET_UP = {
    "account_reauthenticate",
    "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn",
    "mfa_deactivate_totp",
    "mfa_view_recovery_codes",
    "mfa_download_recovery_codes",
    "sheet_pdf",
}


def names(patterns=None, space="") -> Iterator[str]:
    """The full name of every address of the site."""
    for pattern in patterns or get_resolver().url_patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from names(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern):
            yield f"{space}{pattern.name or pattern.pattern}"


SITE = sorted(name for name in set(names()) if not name.startswith("admin:"))
SET_UP = sorted(name for name in set(names()) if name.startswith("admin:"))


def test_every_address_is_in_the_table():
    """A new page says here who may open it."""
    assert sorted(PAGES) == SITE


@pytest.fixture
def world(cast):
    adopt_baseline(cast)
    stored = received(cast)
    code = short_code(stored.digest)
    return cast, {
        "arguments": {
            "account_reset_password_from_key": {"uidb36": "1", "key": "x"},
            "public_sheet": {"code": code},
            "document_schema": {"name": "situation"},
            "api_computation": {"name": "sonar_detail"},
            "entry": {"section": "lines", "name": "rescue"},
            "new_entry": {"section": "waivers"},
            "tablet:photo_part": {"number": 0},
            "correct_dive": {"dive": 1},
            "correct_training": {"day": 1},
        },
        "person": cast.diver,
        "purge": asked_for(cast, stored.operation),  # with a dive and a training day
        "vehicle": cast.vehicle,
        "site": cast.site,
        "token": actions.make_token(person=cast.chief, name="board", by=cast.chief, at=NOON)[0],
        "session": UserSession.objects.create(user=cast.chief, session_key="k", ip="192.0.2.7"),
        # Of somebody who asks for nothing here: a colleague's passkey is as absent as a neighbour's.
        "passkey": Authenticator.objects.create(user=cast.deputy, type="webauthn", data={"name": "key"}),
        "protocol": stored.protocol,
        "operation": stored.operation,
        "assessment": stored,
        "archive": Archive.objects.create(operation=stored.operation, reason="For the coroner", asked_at=NOON),
        "photo": whole_photo(cast, stored.operation),
        "waiting": brought(cast, GOOD, at=timezone.now()),
        "report": keep_report(agency=cast.agency, span=FIRST_MONTH, data=b"%PDF", operations=1, at=NOON),
        "sheet": Sheet.objects.create(assessment=stored, paper="a4", code=code, made_at=NOON),
    }


def ask(browser, page, path):
    """The answer, with everything that the request changed taken back."""
    with transaction.atomic():
        answer = getattr(browser, page.method)(path, HTTP_ACCEPT="text/html")
        # A list that is sent line by line reads its rows only now, inside the transaction.
        answer.shown = b"".join(answer.streaming_content) if answer.streaming else answer.content
        transaction.set_rollback(True)
    return answer


def outcome(answer) -> str:
    if answer.status_code == 302 and answer["Location"].startswith("/accounts/login/"):
        return "sign in"
    if answer.status_code in {401, 403, 404}:
        return str(answer.status_code)
    return "in" if answer.status_code < 500 else f"failed with {answer.status_code}"


def leaks(answer) -> list[str]:
    shown = answer.shown.decode(errors="replace") + str(answer.headers)
    return [canary for canary in CANARIES if canary in shown]


def path_of(name, page, things) -> str:
    of = {"pk": things[page.of].pk} if page.of else {}
    kwargs = of | things["arguments"].get(name, {})
    return reverse(name, kwargs=kwargs)


def test_colleagues_get_what_their_role_allows(world, as_person):
    """Every address by every role of the agency that the things belong to."""
    cast, things = world
    wrong = []
    for role in sorted(ALL):
        browser = as_person(cast.people[role])
        for name in sorted(PAGES.keys() - NOT_SET_UP):
            page = PAGES[name]
            expected = "in" if role in page.may else str(page.refused)
            got = outcome(ask(browser, page, path_of(name, page, things)))
            if got != expected:
                wrong.append(f"{name} by {role}: expected {expected}, got {got}")
    assert not wrong, "\n".join(wrong)


def test_neighbours_get_nothing_of_it(world, as_person):
    """A neighbour's things are absent; lists and pages hold no word of them."""
    cast, things = world
    wrong = []
    for role, who in NEIGHBOURS.items():
        browser = as_person(cast.people[who])
        for name, page in sorted(PAGES.items()):
            answer = ask(browser, page, path_of(name, page, things))
            got = outcome(answer)
            if page.of and got != "404":
                wrong.append(f"{name} by {who}: expected 404, got {got}")
            if not page.of and role not in page.may and got != str(page.refused):
                wrong.append(f"{name} by {who}: expected {page.refused}, got {got}")
            wrong += [f"{name} by {who}: tells {canary}" for canary in leaks(answer)]
    assert not wrong, "\n".join(wrong)


def test_the_installer_sees_nothing_of_an_agencys_work(world, as_person):
    """Setting up is not reading: pages of an agency stay empty or shut."""
    cast, things = world
    browser = as_person(cast.installer)
    wrong = []
    for name, page in sorted(PAGES.items()):
        answer = ask(browser, page, path_of(name, page, things))
        if page.of and outcome(answer) not in {"403", "404"}:
            wrong.append(f"{name}: expected 403 or 404, got {outcome(answer)}")
        wrong += [f"{name}: tells {canary}" for canary in leaks(answer)]
    assert not wrong, "\n".join(wrong)


def test_strangers_are_sent_to_sign_in(world, as_person):
    """Public pages tell them nothing of any agency."""
    _, things = world
    browser = as_person(None)
    wrong = []
    for name, page in sorted(PAGES.items()):
        answer = ask(browser, page, path_of(name, page, things))
        if outcome(answer) != page.stranger:
            wrong.append(f"{name}: expected {page.stranger}, got {outcome(answer)}")
        wrong += [f"{name}: tells {canary}" for canary in leaks(answer)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", ["vehicle", "site", "person", "operation", "assessment", "protocol", "sheet", "photo"])
def test_absent_and_not_yours_are_the_same_answer(world, as_person, name):
    """Byte for byte: nobody learns from the difference that a thing exists."""
    cast, things = world
    browser = as_person(cast.neighbour_chief)
    theirs = browser.get(reverse(name, args=[things[name].pk]))
    absent = browser.get(reverse(name, args=["00000000-0000-4000-8000-00000000000a"]))
    assert theirs.status_code == absent.status_code == 404
    assert without_token(theirs) == without_token(absent)


def test_set_up_pages_are_the_installers_alone(world, as_person):
    """Every one of them, by every role and by a stranger."""
    cast, things = world
    wrong = []
    browsers = {who: as_person(cast.people[who]) for who in [*ALL, *NEIGHBOURS.values()]} | {"nobody": as_person(None)}
    for name in SET_UP:
        for path in set_up_paths(name, things):
            for who, browser in browsers.items():
                answer = ask(browser, Page(), path)
                if outcome(answer) not in {"sign in", "403", "404"} and not to_sign_in(answer):
                    wrong.append(f"{name} by {who}: {answer.status_code} {answer.headers.get('Location', '')}")
    assert not wrong, "\n".join(wrong)
