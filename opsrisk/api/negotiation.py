"""There is one format, whatever a program says it accepts."""

from collections.abc import Sequence
from typing import Any

from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.request import Request


class AlwaysJson(BaseContentNegotiation):
    def select_parser(self, request: Request, parsers: Sequence[Any]) -> Any:
        return next((parser for parser in parsers if request.content_type == parser.media_type), None)

    def select_renderer(self, request: Request, renderers: Sequence[Any], format_suffix: str | None = None) -> Any:
        return renderers[0], renderers[0].media_type
