import pytest

from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.verifier import verify_operation as verifier
from tests.briefing.inquiry.past import elsewhere, past
from tests.operations.sending import adopt_baseline


@pytest.fixture
def before(cast, settings, tmp_path):
    """A data folder of its own: keys, heads and seals of one test are no other's."""
    settings.DATA = tmp_path / "data"
    settings.DATA.mkdir()
    adopt_baseline(cast)
    elsewhere()
    made = past(cast)
    elsewhere(1)
    return made


@pytest.fixture
def made(before):
    return archive(before.operation)


@pytest.fixture
def files(made):
    return verifier.unpacked(made)
