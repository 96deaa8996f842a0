from django.urls import path

from opsrisk.protocols import views

urlpatterns = [
    path("protocols/", views.protocols, name="protocols"),
    path("protocols/draft-baseline/", views.draft_baseline, name="draft_baseline"),
    path("protocols/<uuid:pk>/", views.protocol, name="protocol"),
    path("protocols/<uuid:pk>/document.json", views.document, name="protocol_document"),
    path("protocols/<uuid:pk>/adopt/", views.adopt, name="adopt_protocol"),
]
