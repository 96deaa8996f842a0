"""Mounts each app."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("opsrisk.ledger.urls")),
    path("", include("opsrisk.agencies.urls")),
    path("", include("opsrisk.protocols.urls")),
    path("", include("opsrisk.operations.urls")),
    path("", include("opsrisk.briefing.urls")),
    path("review/", include("opsrisk.review.urls")),
    path("", include("opsrisk.records.urls")),
    path("tablet/", include("opsrisk.tablet.urls")),
    path("", include("opsrisk.api.urls")),
    path("admin/", admin.site.urls),
]

handler404 = "opsrisk.api.errors.not_found"
handler500 = "opsrisk.api.errors.failed"
