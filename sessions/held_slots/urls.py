"""Addresses below /api/v1/."""

from django.urls import path

from sessions.held_slots import views

urlpatterns = [
    path("held-slots", views.HeldSlotListView.as_view(), name="held-slot-list"),
    path(
        "held-slots/<uuid:held_slot_id>",
        views.HeldSlotDetailView.as_view(),
        name="held-slot-detail",
    ),
]
