"""Addresses below /api/v1/."""

from django.urls import path

from sessions.absences.views import absences, closures, hours

urlpatterns = [
    path("absences", absences.AbsenceListView.as_view(), name="absence-list"),
    path("absences/<uuid:absence_id>", absences.AbsenceDetailView.as_view(), name="absence-detail"),
    path(
        "absences/<uuid:absence_id>/lifting",
        absences.AbsenceLiftView.as_view(),
        name="absence-lifting",
    ),
    path(
        "absences/<uuid:absence_id>/sessions",
        absences.AbsenceSessionsView.as_view(),
        name="absence-sessions",
    ),
    path(
        "absences/<uuid:absence_id>/moves",
        absences.AbsenceMovesView.as_view(),
        name="absence-moves",
    ),
    path("closures", closures.ClosureListView.as_view(), name="closure-list"),
    path("closures/<uuid:closure_id>", closures.ClosureDetailView.as_view(), name="closure-detail"),
    path(
        "closures/<uuid:closure_id>/lifting",
        closures.ClosureLiftView.as_view(),
        name="closure-lifting",
    ),
    path(
        "closures/<uuid:closure_id>/sessions",
        closures.ClosureSessionsView.as_view(),
        name="closure-sessions",
    ),
    path(
        "closures/<uuid:closure_id>/moves",
        closures.ClosureMovesView.as_view(),
        name="closure-moves",
    ),
    path("extra-hours", hours.ExtraHoursListView.as_view(), name="extra-hours-list"),
    path(
        "extra-hours/<uuid:extra_hours_id>",
        hours.ExtraHoursDetailView.as_view(),
        name="extra-hours-detail",
    ),
    path(
        "facilities/<uuid:facility_id>/holidays",
        hours.FacilityHolidaysView.as_view(),
        name="facility-holidays",
    ),
    path("holiday-openings", hours.HolidayOpeningListView.as_view(), name="holiday-opening-list"),
    path(
        "holiday-openings/<uuid:holiday_opening_id>",
        hours.HolidayOpeningDetailView.as_view(),
        name="holiday-opening-detail",
    ),
]
