"""The survival window stands twice: as published, and as the baseline's own setting that an agency may change."""

from opsrisk.protocols.shipped import baseline
from opsrisk.reference.submersion import COLD_WATER, COLD_WINDOW, WARM_WINDOW


def test_the_baseline_takes_the_published_window_unchanged():
    """The shipped baseline's submersion settings are the published guide's numbers."""
    settings = baseline().settings
    assert settings["submersion_cold_water"] == COLD_WATER.si
    assert settings["submersion_cold_minutes"] == COLD_WINDOW.si
    assert settings["submersion_warm_minutes"] == WARM_WINDOW.si
