from django.urls import path

from opsrisk.records import dive_views, log_views, purge_views, retention_views, training_views

urlpatterns = [
    path("operations/<uuid:pk>/dives/", dive_views.operation_dives, name="operation_dives"),
    path("operations/<uuid:pk>/dives/keep/", dive_views.keep, name="keep_dive"),
    path("operations/<uuid:pk>/dives/<int:dive>/correct/", dive_views.keep, name="correct_dive"),
    path("records/", log_views.records, name="records"),
    path("records/people/<uuid:pk>/", log_views.person_log, name="person_log"),
    path("records/people/<uuid:pk>/dives.csv", log_views.person_csv, name="person_dives_csv"),
    path("records/training/", training_views.training, name="training"),
    path("records/training/keep/", training_views.keep, name="keep_training"),
    path("records/training/<int:day>/correct/", training_views.keep, name="correct_training"),
    path("records/retention/", retention_views.retention, name="retention"),
    path("records/retention/set/", retention_views.set_periods, name="set_retention"),
    path("records/retention/purge/", purge_views.ask, name="ask_purge"),
    path("records/retention/purge/<uuid:pk>/", purge_views.agree, name="agree_purge"),
    path("records/dives.csv", log_views.dives_csv, name="dives_csv"),
    path("records/definitions.csv", log_views.definitions_csv, name="dives_definitions"),
]
