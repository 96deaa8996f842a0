from django.urls import path

from opsrisk.tablet import log_views, photo_views, received_views, views

app_name = "tablet"
urlpatterns = [
    path("", views.page, name="page"),
    path("sw.js", views.service_worker, name="service_worker"),
    path("worker.js", views.worker, name="worker"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("bundle.zip", views.bundle_zip, name="bundle_zip"),
    path("bundle.json", views.bundle_json, name="bundle_json"),
    path("session.json", views.session, name="session"),
    path("kit.json", views.kit, name="kit"),
    path("operations.json", log_views.operations, name="operations"),
    path("operations/<uuid:pk>.json", log_views.operation, name="operation"),
    path("log.json", log_views.log, name="log"),
    path("photos.json", photo_views.photos, name="photos"),
    path("photos/<uuid:pk>/<int:number>", photo_views.photo_part, name="photo_part"),
    path("received.json", received_views.received, name="received"),
]
