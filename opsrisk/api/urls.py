from django.urls import path
from drf_spectacular.views import SpectacularJSONAPIView

from opsrisk.api import computation_views, review_views, views

v1 = "api/v1/"
urlpatterns = [
    path("api/schema/", SpectacularJSONAPIView.as_view(), name="api_schema"),
    path("schemas/<slug:name>.json", views.schema, name="document_schema"),
    path(v1 + "records/", views.Records.as_view(), name="api_records"),
    path(v1 + "assess/", views.Assess.as_view(), name="api_assess"),
    path(v1 + "computations/", computation_views.Computations.as_view(), name="api_computations"),
    path(v1 + "computations/<slug:name>/", computation_views.OneComputation.as_view(), name="api_computation"),
    path(v1 + "plan/", computation_views.Plan.as_view(), name="api_plan"),
    path(v1 + "operations/", views.Operations.as_view(), name="api_operations"),
    path(v1 + "operations/<uuid:pk>/", views.OneOperation.as_view(), name="api_operation"),
    path(v1 + "assessments/", views.Assessments.as_view(), name="api_assessments"),
    path(v1 + "assessments/<uuid:pk>/", views.OneAssessment.as_view(), name="api_assessment"),
    path(v1 + "protocols/", views.Protocols.as_view(), name="api_protocols"),
    path(v1 + "protocols/in-force/", views.ProtocolInForce.as_view(), name="api_protocol_in_force"),
    path(v1 + "protocols/<uuid:pk>/", views.OneProtocol.as_view(), name="api_protocol"),
    path(v1 + "people/", views.People.as_view(), name="api_people"),
    path(v1 + "sites/", views.Sites.as_view(), name="api_sites"),
    path(v1 + "vehicles/", views.Vehicles.as_view(), name="api_vehicles"),
    path(v1 + "stations/", views.Stations.as_view(), name="api_stations"),
    path(v1 + "sheets/", views.Sheets.as_view(), name="api_sheets"),
    path(v1 + "review/", review_views.Review.as_view(), name="api_review"),
    path(v1 + "ledger/head/", views.LedgerHead.as_view(), name="api_ledger_head"),
]
