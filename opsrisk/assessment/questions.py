"""Every question of a pre-dive assessment, once, in the order in which it is asked.

The tablet draws its screens from this list and has no question of its own, so that a field of the
situation is asked in one place, in one set of words.
"""

from opsrisk.assessment import ask_callout, ask_dive, ask_people, ask_surface, ask_water
from opsrisk.assessment.question import Screen, question_document

SCREENS: tuple[Screen, ...] = (
    *ask_callout.SCREENS,
    *ask_water.SCREENS,
    *ask_surface.SCREENS,
    *ask_dive.SCREENS,
    *ask_people.SCREENS,
    *ask_dive.SUPPORT_SCREENS,
    *ask_dive.VEHICLE_SCREENS,
)


def questions() -> list[dict[str, object]]:
    """The screens in order, each with its questions, as JSON-ready data."""
    return [
        {
            "id": screen.id,
            "section": screen.section,
            "title": screen.title,
            "why": screen.why,
            "questions": [question_document(question) for question in screen.questions],
        }
        for screen in SCREENS
    ]
