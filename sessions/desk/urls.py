"""Addresses below /api/v1/."""

from django.urls import path

from sessions.desk import views

urlpatterns = [
    path("day-sheet", views.DaySheetView.as_view(), name="day-sheet"),
    path("day-sheet/printout", views.DaySheetPrintoutView.as_view(), name="day-sheet-printout"),
]
