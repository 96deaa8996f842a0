"""What a passkey's page tells its script, as text of an attribute: pages hold no script of their own."""

import json
from typing import Any

from django import template

register = template.Library()


@register.filter
def as_json(given: Any) -> str:
    return json.dumps(given)
