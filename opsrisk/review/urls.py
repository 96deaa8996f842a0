from django.urls import path

from opsrisk.review import views

urlpatterns = [
    path("", views.review, name="review"),
    path("rules/", views.review_rules, name="review_rules"),
    path("operations.csv", views.review_csv, name="review_csv"),
    path("definitions.csv", views.review_definitions, name="review_definitions"),
]
