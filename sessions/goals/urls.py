"""Addresses below /api/v1/."""

from django.urls import path

from sessions.goals import views

GOALS = "clients/<uuid:client_id>/treatment-goals"
ONE = f"{GOALS}/<uuid:treatment_goal_id>"
REPORTS = "clients/<uuid:client_id>/home-exercise-reports"

urlpatterns = [
    path(GOALS, views.TreatmentGoalListView.as_view(), name="treatment-goal-list"),
    path(f"{ONE}/reviews", views.GoalReviewView.as_view(), name="treatment-goal-review"),
    path(
        f"{ONE}/review-in-error",
        views.GoalReviewInErrorView.as_view(),
        name="treatment-goal-review-in-error",
    ),
    path(f"{ONE}/in-error", views.GoalInErrorView.as_view(), name="treatment-goal-in-error"),
    path(REPORTS, views.HomeReportListView.as_view(), name="home-report-list"),
    path(
        f"{REPORTS}/<uuid:report_id>/in-error",
        views.HomeReportInErrorView.as_view(),
        name="home-report-in-error",
    ),
    path(
        "clients/<uuid:client_id>/home-exercises/<uuid:home_exercise_id>/reports",
        views.HomeReportView.as_view(),
        name="home-exercise-report",
    ),
]
