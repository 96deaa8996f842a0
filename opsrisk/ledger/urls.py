from django.urls import path

from opsrisk.ledger import views

urlpatterns = [path("healthz", views.healthz, name="healthz")]
