"""Corrections to the generated description."""

from typing import Any


def bodies_are_required(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """A body given as a plain schema is described as optional; none of ours is."""
    for path in result["paths"].values():
        for operation in path.values():
            if "requestBody" in operation:
                operation["requestBody"]["required"] = True
    return result
