"""The pages of a sheet, and the one that a stranger may open."""

import re
import subprocess
from html import unescape

import pytest
from django.core.cache import cache
from django.urls import reverse

from opsrisk.assessment.words import short_code
from opsrisk.briefing import actions
from opsrisk.briefing.models import Sheet
from opsrisk.briefing.views import CHECKS_A_MINUTE
from tests.briefing import pencil, records
from tests.filed import filed

OWN_PAGES = ("sheet", "sheet_pdf", "sheet_print")


@pytest.fixture(autouse=True)
def _no_checks_yet():
    cache.clear()


def test_the_own_agency_reads_and_downloads(issue, as_person, cast, sheet_file):
    """A team member sees the sheet's page, its file to the byte and its page to print."""
    sheet, browser = issue(), as_person(cast.diver)
    for name in OWN_PAGES:
        assert browser.get(reverse(name, args=[sheet.pk])).status_code == 200
    answer = browser.get(reverse("sheet_pdf", args=[sheet.pk]))
    assert answer.content == sheet_file(sheet).read_bytes()
    assert answer["Content-Type"] == "application/pdf"
    assert f"sheet-{sheet.code}-letter.pdf" in answer["Content-Disposition"]


def test_another_agency_finds_nothing(issue, as_person, cast):
    """A sheet of another agency is as absent as one that never was."""
    sheet, browser = issue(), as_person(cast.neighbour_chief)
    for name in OWN_PAGES:
        assert browser.get(reverse(name, args=[sheet.pk])).status_code == 404
    assert browser.post(reverse("withdraw_sheet", args=[sheet.pk]), {"reason": "x" * 20}).status_code == 404
    assert browser.post(reverse("issue_sheet", args=[sheet.assessment_id]), {"paper": "a4"}).status_code == 404


def test_a_stranger_is_asked_to_sign_in(issue, as_person):
    """Everything but the code's page needs a sign-in."""
    sheet = issue()
    for name in OWN_PAGES:
        assert as_person(None).get(reverse(name, args=[sheet.pk])).status_code == 302


def test_issuing_from_a_page(assessment, as_person, cast, django_capture_on_commit_callbacks):
    """The supervisor's button makes the sheet and leads to its page; a team member may not press it."""
    address = reverse("issue_sheet", args=[assessment.pk])
    assert as_person(cast.diver).post(address, {"paper": "a4"}).status_code == 403
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_person(cast.supervisor).post(address, {"paper": "a4"})
    sheet = Sheet.objects.get()
    assert answer["Location"] == reverse("sheet", args=[sheet.pk])
    assert sheet.state == Sheet.State.READY


def test_a_changed_file_is_not_handed_out(issue, as_person, cast, sheet_file):
    """A byte changed on the server's disk, and the download says so instead."""
    sheet = issue()
    data = bytearray(sheet_file(sheet).read_bytes())
    data[len(data) // 2] ^= 1
    sheet_file(sheet).write_bytes(data)
    answer = as_person(cast.supervisor).get(reverse("sheet_pdf", args=[sheet.pk]))
    assert answer.status_code == 500
    assert b"not the one that was sealed" in answer.content


def test_the_page_to_print_says_what_the_file_says(issue, as_person, cast, sheet_file, tmp_path):
    """Word for word: the browser's own print of the page holds the words of the sealed file."""
    sheet = issue()
    html = as_person(cast.supervisor).get(reverse("sheet_print", args=[sheet.pk])).content.decode()
    page = words_of(html)
    done = subprocess.run(
        ["pdftotext", "-raw", str(sheet_file(sheet)), "-"], check=True, capture_output=True, text=True
    )
    file = pencil.plain(done.stdout)
    assert sorted(letters(page)) == sorted(letters(without_pages(file)))


def words_of(html):
    body = re.sub(r"(?s)<head>.*?</head>", " ", html)
    body = re.sub(r"<title>.*?</title>", "", body)  # what a figure is, for who cannot see it: not printed
    return unescape(re.sub(r"<[^>]+>", " ", body))


def without_pages(text):
    return re.sub(r"(continued: \d+), page \d+", r"\1", text)


def letters(text):
    return [c for c in text if c.isalnum()]


def test_a_code_is_current_then_superseded(issue, assessment, as_person, cast):
    """The code's page says current, and superseded as soon as the next revision is here."""
    sheet, stranger = issue(), as_person(None)
    address = reverse("public_sheet", args=[sheet.code])
    assert f"Sheet {sheet.code}: current" in stranger.get(address).content.decode()
    later = filed(
        records.record(revision=2), agency=cast.agency, by=cast.supervisor, protocol=assessment.protocol,
        operation=assessment.operation,
    )  # fmt: skip
    type(assessment).objects.filter(pk=assessment.pk).update(superseded_by=later)
    text = stranger.get(address).content.decode()
    assert f"Sheet {sheet.code}: superseded" in text
    assert "A later assessment replaced it" in text


def test_a_withdrawn_code_is_superseded(issue, as_person, cast, clock):
    """Withdrawing shows at once."""
    sheet = issue()
    actions.withdraw(sheet=sheet, reason="The diver was named wrongly", by=cast.chief, at=next(clock))
    text = as_person(None).get(reverse("public_sheet", args=[sheet.code])).content.decode()
    assert f"Sheet {sheet.code}: superseded" in text
    assert "It was withdrawn" in text


def test_a_sheet_printed_on_a_tablet_is_known_by_its_record(assessment, as_person):
    """No sheet was issued here: the record's arrival is enough."""
    code = short_code(assessment.digest)
    assert "current" in as_person(None).get(reverse("public_sheet", args=[code])).content.decode()


@pytest.mark.parametrize("code", ["0123456789", "UUUUUUUUUU", "x", "0123456789012345", "' OR 1=1 --", "é" * 10])
def test_an_unknown_code_is_unknown(assessment, as_person, code):
    """Any other code, well formed or not, gets the same answer: unknown."""
    answer = as_person(None).get(reverse("public_sheet", args=[code]))
    assert answer.status_code == 404
    assert "unknown" in answer.content.decode()


def test_a_code_read_over_the_radio_is_found(assessment, as_person):
    """Small letters, and O and l for 0 and 1, are what people write."""
    code = short_code(assessment.digest)
    typed = code.lower().replace("0", "o").replace("1", "l")
    assert as_person(None).get(reverse("public_sheet", args=[typed])).status_code == 200


def test_a_stranger_learns_no_name(issue, assessment, as_person):
    """The code's page names no person, no agency, no operation, no place, no decision."""
    text = as_person(None).get(reverse("public_sheet", args=[issue().code])).content.decode()
    for word in ("Varga", "Quill", "Tarrow", "Nether Bridge", "Vehicle first"):
        assert word not in text


def test_guessing_codes_is_slowed_down(as_person, db):
    """After so many codes in a minute the address has to wait."""
    stranger = as_person(None)
    answers = [
        stranger.get(reverse("public_sheet", args=[f"{i:010d}"])).status_code for i in range(CHECKS_A_MINUTE + 2)
    ]
    assert 429 in answers
    assert answers[0] == 404


def test_behind_a_proxy_one_guesser_slows_nobody_else(as_person, db, settings):
    """The address that the proxy added counts, not the proxy's own."""
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
    stranger, page = as_person(None), reverse("public_sheet", args=["0000000000"])
    guesser = {"X-Forwarded-For": "198.51.100.66"}
    assert 429 in [stranger.get(page, headers=guesser).status_code for _ in range(2 * CHECKS_A_MINUTE + 2)]
    assert stranger.get(page, headers={"X-Forwarded-For": "192.0.2.7"}).status_code == 404
