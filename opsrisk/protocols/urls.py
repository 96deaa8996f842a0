from django.urls import path

from opsrisk.protocols import editor_views, life_views, views

urlpatterns = [
    path("protocols/", views.protocols, name="protocols"),
    path("protocols/draft-baseline/", life_views.draft_baseline, name="draft_baseline"),
    path("protocols/bring/", life_views.bring, name="bring_protocol"),
    path("protocols/<uuid:pk>/", views.protocol, name="protocol"),
    path("protocols/<uuid:pk>/document.json", views.document, name="protocol_document"),
    path("protocols/<uuid:pk>/proof/", views.proof, name="protocol_proof"),
    path("protocols/<uuid:pk>/prove/", views.prove, name="prove_protocol"),
    path("protocols/<uuid:pk>/differences/", views.differences, name="protocol_differences"),
    path("protocols/<uuid:pk>/start/", life_views.start, name="start_protocol"),
    path("protocols/<uuid:pk>/discard/", views.discard, name="discard_protocol"),
    path("protocols/<uuid:pk>/adopt/", life_views.adopt, name="adopt_protocol"),
    path("protocols/<uuid:pk>/new/<slug:section>/", editor_views.new, name="new_entry"),
    path("protocols/<uuid:pk>/entries/<slug:section>/<str:name>/", editor_views.entry, name="entry"),
]
