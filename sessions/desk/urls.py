"""Addresses below /api/v1/."""

from django.urls import path

from sessions.desk.views import call_list, day_sheet

urlpatterns = [
    path("day-sheet", day_sheet.DaySheetView.as_view(), name="day-sheet"),
    path("day-sheet/printout", day_sheet.DaySheetPrintoutView.as_view(), name="day-sheet-printout"),
    path("call-list", call_list.CallListView.as_view(), name="call-list"),
]
