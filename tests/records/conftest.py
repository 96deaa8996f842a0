import pytest

from tests.operations.sending import adopt_baseline


@pytest.fixture
def crew(cast):
    """The cast, with the baseline in force."""
    adopt_baseline(cast)
    return cast
