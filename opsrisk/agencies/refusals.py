"""How an action says no to what it was given: the field, what was given, what is accepted."""

from collections.abc import Sequence
from typing import TypeVar

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import models

Row = TypeVar("Row", bound=models.Model)
LEAST_REASON = 15  # characters, wherever somebody has to say why
SHOWN = 200  # characters of what was given that a message repeats


class Refused(ValueError):
    """Bad input to an action; each error is (field, given, accepted)."""

    def __init__(self, *errors: tuple[str, object, str]) -> None:
        self.errors: Sequence[tuple[str, str, str]] = [
            (field, str(given)[:SHOWN], accepted) for field, given, accepted in errors
        ]
        super().__init__("; ".join(f"{field}: given {given!r}, accepted {ok}" for field, given, ok in self.errors))


def checked(row: Row) -> Row:
    """`row` after the model's own validation. Raises Refused naming every bad field."""
    try:
        row.full_clean()
    except ValidationError as fault:
        raise Refused(
            *(
                ("" if field == NON_FIELD_ERRORS else field, getattr(row, field, ""), " ".join(messages))
                for field, messages in fault.message_dict.items()
            )
        ) from fault
    return row
