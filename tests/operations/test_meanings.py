"""The four meanings of a signature, each with name, role, meaning and time wherever a person reads it."""

import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.briefing.content import given
from opsrisk.briefing.sheet.compose import compose
from opsrisk.operations.models import Assessment, Signature
from tests.operations.sending import body, record, send, sign
from tests.operations.test_overrides import REASON, vehicle_first

GIVEN = {
    "decided": ("supervisor", "Ines Varga", "dive supervisor", "Decided"),
    "overrode": ("deputy", "Oskar Lund", "dive supervisor", "Agreed to less caution"),
    "reviewed": ("safety", "Lena Okafor", "safety officer", "Reviewed"),
    "briefed": ("diver", "Mara Quill", "team member", "Briefed"),
}


@pytest.fixture
def stored(crew):
    chosen = {"decision": "divers_with_controls", "reason": REASON, "second_person": str(crew.deputy.pk)}
    made = record(crew, vehicle_first(), chosen=chosen)
    send(crew, body(made, *(sign(made, crew.people[who], meaning) for meaning, (who, *_) in GIVEN.items())))
    return Assessment.objects.get()


@pytest.mark.parametrize("meaning", Signature.Meaning.values)
def test_sheet_and_desk_show_name_role_meaning_and_time(crew, as_person, stored, meaning):
    """All four on paper, on the record's page and where a void is confirmed."""
    _, name, role, word = GIVEN[meaning]
    sheet = compose(given(stored), cautions=CAUTIONS)
    rows = [row for block in (*sheet.front, *sheet.back) if block.key.startswith("signatures") for row in block.rows]
    (printed,) = [row for row in rows if row.label == word]
    assert printed.value == name
    assert printed.note == f"{role}, 01 Jun 2026 14:00"
    client = as_person(crew.chief)
    for page in (f"/assessments/{stored.pk}/", f"/assessments/{stored.pk}/void/"):
        text = client.get(page).content.decode()
        assert name in text and "01 Jun 2026 14:00" in text
        assert role in text.lower() and word.lower() in text.lower(), page
