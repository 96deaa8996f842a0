from django.urls import path

from opsrisk.review import calibration_views, import_views, log_views, report_views, views, whatif_views

urlpatterns = [
    path("", views.review, name="review"),
    path("rules/", views.review_rules, name="review_rules"),
    path("patterns/", views.review_patterns, name="review_patterns"),
    path("operations.csv", views.review_csv, name="review_csv"),
    path("operations.xlsx", views.review_spreadsheet, name="review_spreadsheet"),
    path("definitions.csv", views.review_definitions, name="review_definitions"),
    path("reports/", report_views.reports, name="reports"),
    path("reports/<uuid:pk>.pdf", report_views.report_pdf, name="report_pdf"),
    path("import/", import_views.import_operations, name="import_operations"),
    path("import/template.csv", import_views.import_template, name="import_template"),
    path("import/<uuid:pk>/", import_views.import_waiting, name="import_waiting"),
    path("import/<uuid:pk>/left-out.csv", import_views.import_left_out, name="import_left_out"),
    path("log/", log_views.log, name="log"),
    path("calibration/", calibration_views.calibration, name="calibration"),
    path("what-if/<uuid:pk>/", whatif_views.what_if, name="what_if"),
    path("what-if/<uuid:pk>/effect/", whatif_views.what_if_effect, name="what_if_effect"),
]
