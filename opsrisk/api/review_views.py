"""The chief's list for the county's own programs: the rows and columns of the CSV, a page at a time, read only."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.http import QueryDict
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.api import documents
from opsrisk.api import serializers as out
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.operations.models import Decision, Operation
from opsrisk.review.export import COLUMNS, as_values, listed
from opsrisk.review.forms import SORTS, Filter
from opsrisk.review.listing import MARKED

TEXT = {"type": "string", "minLength": 1, "maxLength": 100}
ON = {"type": "string", "enum": ["on"]}
DAY = {"type": "string", "format": "date"}
ASKED: dict[str, dict[str, Any]] = {
    "q": TEXT,
    "kind": {"type": "string", "enum": Operation.Kind.values},
    "decision": {"type": "string", "enum": Decision.values},
    "sort": {"type": "string", "enum": [name for name, _ in SORTS]},
    "month": {"type": "integer", "minimum": 1, "maximum": 12},
    **dict.fromkeys(("site", "version", "person"), documents.UUID),
    **dict.fromkeys(("since", "until"), DAY),
    **dict.fromkeys(MARKED, ON),
    "page": {"type": "integer", "minimum": 1},
}
VALUE = {"type": ["string", "integer", "null"]}
ROW = documents.closed(
    {one.name: VALUE | {"description": f"{one.meaning} ({one.unit})" if one.unit else one.meaning} for one in COLUMNS}
)
LINK = documents.or_null(documents.TEXT)
PAGE = documents.closed(
    {
        "count": {"type": "integer", "minimum": 0},
        "next": LINK,
        "previous": LINK,
        "results": {"type": "array", "items": ROW},
        "cautions": {"type": "array", "items": documents.TEXT},
    }
)


class Review(GenericAPIView):
    @extend_schema(
        operation_id="review",
        parameters=[OpenApiParameter(name, type=schema) for name, schema in ASKED.items()],
        responses={200: PAGE, 400: out.Errors, 401: out.Errors, 403: out.Errors, 404: out.Errors},
    )
    def get(self, request: Request) -> Response:
        """Assessments in force as the chief's list has them, with its filters; the columns are those of the CSV."""
        require(request.user, "review")
        rows = listed(_asked(request), request.user)
        found = [as_values(row.assessment) for row in self.paginate_queryset(rows) or ()]
        answer = self.get_paginated_response(found)
        answer.data["cautions"] = list(CAUTIONS)
        return answer


def _asked(request: Request) -> dict[str, Any]:
    """The filters. A program is told what a person's form passes over: nothing given, or something else than on."""
    form = Filter(request.query_params, person=request.user)
    wrong = list(_malformed(form, request.query_params))
    if not form.is_valid():
        wrong += [
            (name, request.query_params.get(name, ""), " ".join(str(word) for word in words))
            for name, words in form.errors.items()
        ]
    if wrong:
        raise Refused(*wrong)
    return form.cleaned_data


def _malformed(form: Filter, asked: QueryDict) -> Iterator[tuple[str, str, str]]:
    for name, field in form.fields.items():
        for given in asked.getlist(name):
            if not given.strip():
                yield name, given, "something, or the filter left out"
            elif isinstance(field, forms.BooleanField) and given != "on":
                yield name, given, "on, or the filter left out"
            elif isinstance(field, forms.DateField) and not re.fullmatch(r"\d{4}-\d\d-\d\d", given, re.ASCII):
                yield name, given, "a day as year-month-day"
