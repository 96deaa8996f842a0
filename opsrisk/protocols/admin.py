"""Protocols in the set-up pages: to look at."""

from django.contrib import admin

from opsrisk.agencies.admin import ReadOnly
from opsrisk.protocols.models import ProtocolVersion


@admin.register(ProtocolVersion)
class ProtocolAdmin(ReadOnly):
    list_display = ["protocol_id", "version", "agency", "state", "effective_from"]
    list_filter = ["agency", "state"]
