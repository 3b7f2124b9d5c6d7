"""Addresses below /api/v1/."""

from django.urls import path

from clients.papers import views

ONE = "clients/<uuid:client_id>/papers/<uuid:paper_id>"

urlpatterns = [
    path("papers", views.PaperOverviewView.as_view(), name="paper-overview"),
    path("clients/<uuid:client_id>/papers", views.ClientPaperListView.as_view(), name="paper-list"),
    path(f"{ONE}/sending", views.PaperSendingView.as_view(), name="paper-sending"),
    path(f"{ONE}/reminder", views.PaperReminderView.as_view(), name="paper-reminder"),
    path(f"{ONE}/answer", views.PaperAnswerView.as_view(), name="paper-answer"),
    path(f"{ONE}/order", views.PaperOrderView.as_view(), name="paper-order"),
    path(f"{ONE}/withdrawal", views.PaperWithdrawalView.as_view(), name="paper-withdrawal"),
    path(f"{ONE}/correction", views.PaperCorrectionView.as_view(), name="paper-correction"),
    path(f"{ONE}/step-in-error", views.PaperStepInErrorView.as_view(), name="paper-step-in-error"),
]
