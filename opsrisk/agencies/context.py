"""What every page needs to know."""

from functools import partial

from django.http import HttpRequest

from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import of
from opsrisk.agencies.sessions import needs_second_factor
from opsrisk.assessment.cautions import CAUTIONS

# Address, word, and the permission without which the page is not offered.
PAGES = (
    ("/tablet/", "Tablet", "read"),
    ("/operations/", "Operations", "read"),
    ("/review/", "Review", "review"),
    ("/review/log/", "Log", "read_ledger"),
    ("/protocols/", "Protocol", "read"),
    ("/people/", "People", "read"),
    ("/records/", "Records", "read"),
    ("/kit/", "Kit", "read"),
    ("/sites/", "Sites", "read"),
    ("/admin/", "Set-up", "found_agency"),
    ("/me/", "Yourself", "sign"),
)


def page(request: HttpRequest) -> dict[str, object]:
    """The cautions, the pages this person may open, and what they may do there."""
    user = getattr(request, "user", None)
    may = of(user) if user and user.is_authenticated else frozenset()
    here = max((path for path, _, _ in PAGES if request.path.startswith(path)), key=len, default="")
    pages = [{"path": path, "word": word, "here": path == here} for path, word, needs in PAGES if needs in may]
    # Asked of the database only by the page that shows it.
    needs = partial(needs_second_factor, user) if isinstance(user, Person) else False
    return {"cautions": CAUTIONS, "may": may, "pages": pages, "needs_second_factor": needs}
