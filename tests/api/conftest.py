import pytest

from tests.operations.sending import adopt_baseline
from tests.review.conftest import county, past

__all__ = ["county", "past"]  # the chief's past operations, as fixtures here too


@pytest.fixture
def crew(cast):
    """The cast, with the baseline in force."""
    adopt_baseline(cast)
    return cast
