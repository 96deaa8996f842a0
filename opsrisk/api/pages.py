"""Lists come in pages."""

from typing import Any

from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request


class Pages(PageNumberPagination):
    page_size = 100
    last_page_strings = ()  # a page is asked for by its number

    def get_page_number(self, request: Request, paginator: Any) -> str:
        """An empty number is refused as one, where the framework takes it for the first page."""
        return str(request.query_params.get(self.page_query_param, "1"))
