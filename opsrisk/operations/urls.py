from django.urls import path

from opsrisk.operations import debrief_views, photo_views, plan_views, views, void_views

urlpatterns = [
    path("operations/", views.operations, name="operations"),
    path("operations/<uuid:pk>/", views.operation, name="operation"),
    path("operations/<uuid:pk>/plan/", plan_views.operation_plan, name="operation_plan"),
    path("operations/<uuid:pk>/apart/", views.apart, name="operation_apart"),
    path("operations/<uuid:pk>/debrief/", debrief_views.operation_debrief, name="operation_debrief"),
    path("operations/<uuid:pk>/close/", views.close, name="close_operation"),
    path("assessments/<uuid:pk>/", views.assessment, name="assessment"),
    path("assessments/<uuid:pk>/void/", void_views.void, name="void_record"),
    path("assessments/<uuid:pk>/record.json", views.record, name="assessment_record"),
    path("photos/<uuid:pk>.jpg", photo_views.photo, name="photo"),
    path("photos/<uuid:pk>/original/", photo_views.photo_original, name="photo_original"),
]
