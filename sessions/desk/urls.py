"""Addresses below /api/v1/."""

from django.urls import path

from sessions.desk.views import at_a_glance, call_list, day_sheet

urlpatterns = [
    path("day-sheet", day_sheet.DaySheetView.as_view(), name="day-sheet"),
    path("day-sheet/printout", day_sheet.DaySheetPrintoutView.as_view(), name="day-sheet-printout"),
    path(
        "clients/<uuid:client_id>/at-a-glance",
        at_a_glance.AtAGlanceView.as_view(),
        name="at-a-glance",
    ),
    path("call-list", call_list.CallListView.as_view(), name="call-list"),
]
