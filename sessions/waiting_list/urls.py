"""Addresses below /api/v1/."""

from django.urls import path

from sessions.waiting_list import views

urlpatterns = [
    path(
        "clients/<uuid:client_id>/waiting", views.ClientWaitingView.as_view(), name="client-waiting"
    ),
    path("waiting-list", views.WaitingListView.as_view(), name="waiting-list"),
    path("waiting-fits", views.WaitingFitsView.as_view(), name="waiting-fits"),
    path(
        "waiting-list/<uuid:waiting_id>", views.WaitingDetailView.as_view(), name="waiting-detail"
    ),
    path(
        "waiting-list/<uuid:waiting_id>/offers",
        views.WaitingOfferView.as_view(),
        name="waiting-offer",
    ),
    path(
        "waiting-list/<uuid:waiting_id>/acceptance",
        views.WaitingAcceptanceView.as_view(),
        name="waiting-acceptance",
    ),
    path(
        "waiting-list/<uuid:waiting_id>/decline",
        views.WaitingDeclineView.as_view(),
        name="waiting-decline",
    ),
    path(
        "waiting-list/<uuid:waiting_id>/withdrawal",
        views.WaitingWithdrawalView.as_view(),
        name="waiting-withdrawal",
    ),
]
