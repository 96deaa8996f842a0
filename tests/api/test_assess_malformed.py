"""POST /api/v1/assess/ refuses every malformed situation with reasons, and decides none of them."""

import pytest

from tests.assessment.malformed import corpus
from tests.operations.sending import adopt_baseline

TOO_LARGE = {name for name, data in corpus().items() if len(data) > 256 * 1024}


@pytest.fixture
def browser(cast, as_person):
    adopt_baseline(cast)
    return as_person(cast.diver)


def test_every_malformed_document_is_refused(browser):
    """400 (413 where it is too large to be a situation), errors by field, and no decision in any of the answers."""
    wrong = {}
    for name, data in corpus().items():
        answer = browser.post("/api/v1/assess/", data, content_type="application/json")
        # The test client names no content type for no content.
        expected = (400, 413) if name in TOO_LARGE else (415,) if not data else (400,)
        said = answer.json()
        if answer.status_code not in expected or "decision" in said or not said["errors"]:
            wrong[name] = (answer.status_code, said)
        assert all(set(error) >= {"field", "given", "accepted"} for error in said["errors"])

    assert not wrong
