"""The languages besides English: their catalogues as kept beside the words that they translate."""

import json
from functools import cache
from pathlib import Path

from opsrisk.assessment.language import Language

FOLDER = Path(__file__).resolve().parents[1] / "assessment" / "languages"
LANGUAGES = ("es",)


@cache
def catalogue(tag: str) -> dict[str, str] | None:
    """Everything that is known in `tag`, English text to its own; None for English, which needs none."""
    if tag not in LANGUAGES:
        return None
    texts: dict[str, str] = {}
    for path in sorted((FOLDER / tag).glob("*.json")):
        texts |= json.loads(path.read_text(encoding="utf-8"))
    return texts


@cache
def language(tag: str, decimal: str) -> Language:
    """The reader for what is shown in `tag` with this decimal sign."""
    return Language(catalogue(tag), tag=tag if tag in LANGUAGES else "en", decimal=decimal)
