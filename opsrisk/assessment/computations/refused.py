"""The refusal of a computation: every fault by its field, what was given and what is accepted."""

Fault = tuple[str, str, str]


class ComputationRefused(ValueError):
    """Nothing was computed; `errors` lists (field, given, accepted), one for each fault."""

    def __init__(self, errors: list[Fault]) -> None:
        self.errors = errors
        super().__init__("\n".join(reasons(errors)))


def reasons(errors: list[Fault]) -> list[str]:
    """One line for each fault, as the command prints it."""
    return [f"{field}: given {given}; accepted: {accepted}" for field, given, accepted in errors]
