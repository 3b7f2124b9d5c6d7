"""Addresses below /api/v1/."""

from django.urls import path

from practice.people_and_places.views import (
    access,
    facilities,
    licences,
    practitioners,
    staff,
    starter_limits,
    supervisions,
)

urlpatterns = [
    path("auth/tokens", access.TokenListView.as_view(), name="token-list"),
    path("auth/tokens/<uuid:token_id>", access.TokenDetailView.as_view(), name="token-detail"),
    path("me", access.MyAccountView.as_view(), name="me"),
    path("facilities", facilities.FacilityListView.as_view(), name="facility-list"),
    path(
        "facilities/<uuid:facility_id>",
        facilities.FacilityDetailView.as_view(),
        name="facility-detail",
    ),
    path(
        "facilities/<uuid:facility_id>/rules",
        facilities.FacilityRuleListView.as_view(),
        name="facility-rule-list",
    ),
    path(
        "facilities/<uuid:facility_id>/rules/<uuid:rule_id>",
        facilities.FacilityRuleDetailView.as_view(),
        name="facility-rule-detail",
    ),
    path(
        "facilities/<uuid:facility_id>/starter-limits",
        starter_limits.StarterLimitsView.as_view(),
        name="starter-limits",
    ),
    path(
        "facilities/<uuid:facility_id>/starter-consent-ages",
        starter_limits.StarterConsentAgesView.as_view(),
        name="starter-consent-ages",
    ),
    path("rooms", facilities.RoomListView.as_view(), name="room-list"),
    path("rooms/<uuid:room_id>", facilities.RoomDetailView.as_view(), name="room-detail"),
    path("practitioners", practitioners.PractitionerListView.as_view(), name="practitioner-list"),
    path(
        "practitioners/<uuid:practitioner_id>",
        practitioners.PractitionerDetailView.as_view(),
        name="practitioner-detail",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/licences",
        licences.LicenceListView.as_view(),
        name="licence-list",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/licences/<uuid:licence_id>",
        licences.LicenceDetailView.as_view(),
        name="licence-detail",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/competences",
        licences.CompetenceListView.as_view(),
        name="competence-list",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/competences/<uuid:competence_id>",
        licences.CompetenceDetailView.as_view(),
        name="competence-detail",
    ),
    path("supervisions", supervisions.SupervisionListView.as_view(), name="supervision-list"),
    path(
        "supervisions/ending",
        supervisions.SupervisionEndingView.as_view(),
        name="supervision-ending",
    ),
    path(
        "supervisions/<uuid:supervision_id>",
        supervisions.SupervisionDetailView.as_view(),
        name="supervision-detail",
    ),
    path("staff", staff.StaffListView.as_view(), name="staff-list"),
    path("staff/<uuid:staff_id>", staff.StaffDetailView.as_view(), name="staff-detail"),
]
