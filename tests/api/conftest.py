from tests.review.conftest import county, past

__all__ = ["county", "past"]  # the chief's past operations, as fixtures here too
