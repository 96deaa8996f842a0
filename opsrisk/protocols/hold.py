"""A page that needs a stored protocol which is no longer what was adopted says so, and nothing else: hold."""

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from opsrisk.protocols.models import NotAsStored

log = logging.getLogger(__name__)

UNAVAILABLE = 503  # as programs are told: it may come back, and until then nobody decides by it


class Hold:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        if not isinstance(fault, NotAsStored):
            return None
        log.error("%s", fault)
        return render(request, "protocols/hold.html", {"fault": fault}, status=UNAVAILABLE)
