"""Addresses below /api/v1/."""

from django.urls import path

from sessions.groups import views

urlpatterns = [
    path("classes", views.ClassListView.as_view(), name="class-list"),
    path("classes/<uuid:class_id>", views.ClassDetailView.as_view(), name="class-detail"),
    path("classes/<uuid:class_id>/places", views.ClassPlacesView.as_view(), name="class-places"),
    path("classes/<uuid:class_id>/move", views.ClassMoveView.as_view(), name="class-move"),
    path(
        "classes/<uuid:class_id>/cancellation",
        views.ClassCancellationView.as_view(),
        name="class-cancellation",
    ),
]
