"""Addresses below /api/v1/."""

from django.urls import path

from sessions.measurements.views import body, readings

urlpatterns = [
    path(
        "clients/<uuid:client_id>/posture",
        body.PostureFindingListView.as_view(),
        name="posture-list",
    ),
    path(
        "clients/<uuid:client_id>/posture/<uuid:finding_id>/entered-in-error",
        body.PostureFindingInErrorView.as_view(),
        name="posture-in-error",
    ),
    path(
        "clients/<uuid:client_id>/circumferences",
        body.CircumferencesListView.as_view(),
        name="circumferences-list",
    ),
    path(
        "clients/<uuid:client_id>/circumferences/<uuid:circumferences_id>/entered-in-error",
        body.CircumferencesInErrorView.as_view(),
        name="circumferences-in-error",
    ),
    path(
        "clients/<uuid:client_id>/range-of-motion",
        readings.ReadingListView.as_view(),
        name="reading-list",
    ),
    path(
        "clients/<uuid:client_id>/range-of-motion/chart",
        readings.ReadingChartView.as_view(),
        name="reading-chart",
    ),
    path(
        "clients/<uuid:client_id>/range-of-motion/<uuid:reading_id>/entered-in-error",
        readings.ReadingInErrorView.as_view(),
        name="reading-in-error",
    ),
    path("clients/<uuid:client_id>/goals", readings.GoalListView.as_view(), name="goal-list"),
]
