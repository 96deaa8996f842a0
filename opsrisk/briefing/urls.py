from django.urls import path

from opsrisk.briefing import archive_views, views

urlpatterns = [
    path("assessments/<uuid:pk>/sheet/", views.issue_sheet, name="issue_sheet"),
    path("sheets/<uuid:pk>/", views.sheet, name="sheet"),
    path("sheets/<uuid:pk>/sheet.pdf", views.sheet_pdf, name="sheet_pdf"),
    path("sheets/<uuid:pk>/print/", views.sheet_print, name="sheet_print"),
    path("sheets/<uuid:pk>/withdraw/", views.withdraw_sheet, name="withdraw_sheet"),
    path("operations/<uuid:pk>/archives/", archive_views.archives, name="archives"),
    path("archives/<uuid:pk>/archive.zip", archive_views.archive_file, name="archive_file"),
    path("sheet/<str:code>/", views.public_sheet, name="public_sheet"),
]
