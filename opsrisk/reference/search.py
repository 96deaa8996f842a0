"""Points on the curves of search theory. No sweep width measured under water was found: teams enter theirs."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)

RANDOM_EXPONENT = Published(
    "1", "", source=sources.SEARCH_THEORY_PAGE, where="random search", checked=CHECKED, status="read",
    note="chance = 1 - exp(-coverage): the lower bound of a search that is not repeated exactly",
)  # fmt: skip
IDEAL_AT_COVERAGE_ONE = Published(
    "79", "", source=sources.SEARCH_AND_SCREENING, where="parallel sweeps", checked=None, status="memory",
    note="percent found by ideal parallel sweeps at coverage 1",
)  # fmt: skip
DEFINITE_RANGE = Published(
    "1", "", source=sources.SEARCH_DEFINITIONS, where="sweep width", checked=CHECKED, status="read",
    note="coverage at which a swath that sees everything inside and nothing outside has seen it all",
)  # fmt: skip
