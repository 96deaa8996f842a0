"""Whether a printed sheet is still the one to work by: current, superseded or unknown. Names nobody."""

from dataclasses import dataclass
from datetime import datetime

from opsrisk.assessment.words import ALPHABET, short_code
from opsrisk.briefing.models import Sheet
from opsrisk.operations.models import Assessment

LENGTH = 10
MISREAD = str.maketrans("OIL", "011")  # Crockford: what people write for 0 and 1
PREFIX = 12  # hexadecimal digits that the code fixes entirely


@dataclass(frozen=True)
class Status:
    """What anybody may know about a code."""

    code: str
    word: str  # current, superseded, unknown
    since: datetime | None = None  # when it was superseded
    withdrawn: bool = False
    void: bool = False
    digest: str = ""


def normal(code: str) -> str:
    """The code as it was printed, however it was typed; empty for what cannot be one."""
    found = code.strip().upper().replace("-", "").replace(" ", "").translate(MISREAD)
    return found if len(found) == LENGTH and not set(found) - set(ALPHABET) else ""


def status(code: str) -> Status:
    """The status of the sheet with this code, printed here or on a tablet that had no network."""
    assessment = _assessment(normal(code))
    if assessment is None:
        return Status(normal(code) or code[:40], "unknown")
    found = Status(normal(code), "current", digest=assessment.digest)
    if assessment.voided_at:
        return Status(found.code, "superseded", assessment.voided_at, void=True, digest=found.digest)
    later = assessment.superseded_by
    if later is not None:
        return Status(found.code, "superseded", later.received_at, digest=found.digest)
    withdrawn = Sheet.objects.filter(assessment=assessment, withdrawn_at__isnull=False).order_by("withdrawn_at").first()
    if withdrawn is not None:
        return Status(found.code, "superseded", withdrawn.withdrawn_at, withdrawn=True, digest=found.digest)
    return found


def _assessment(code: str) -> Assessment | None:
    """The one assessment whose digest begins as the code says; none where two share it, which no page may settle."""
    if not code:
        return None
    bits = 0
    for letter in code:
        bits = bits << 5 | ALPHABET.index(letter)
    starts = f"{bits << 2:013x}"[:PREFIX]
    rows = Assessment.objects.filter(digest__startswith=starts).select_related("superseded_by")
    found = [row for row in rows if short_code(row.digest) == code]
    return found[0] if len(found) == 1 else None
