"""Addresses of the practice's own resources under /api/v1/."""

from django.urls import path

from practice.api.resources import access, health, places, practitioners, record, rules, staff

urlpatterns = [
    path("health/live", health.HealthLive.as_view(), name="health-live"),
    path("health/ready", health.HealthReady.as_view(), name="health-ready"),
    path("schema", health.Description.as_view(), name="schema"),
    path("docs", health.Documentation.as_view(url_name="schema"), name="docs"),
    path("auth/tokens", access.Tokens.as_view(), name="token-list"),
    path("auth/tokens/<uuid:token_id>", access.Token.as_view(), name="token-detail"),
    path("me", access.MyAccount.as_view(), name="me"),
    path("practice", rules.ThePractice.as_view(), name="practice"),
    path("settings", rules.Settings.as_view(), name="setting-list"),
    path("settings/<uuid:setting_id>", rules.OneSetting.as_view(), name="setting-detail"),
    path("setting-changes", rules.Changes.as_view(), name="setting-change-list"),
    path("jurisdiction-limits", rules.Limits.as_view(), name="limit-list"),
    path("jurisdiction-limits/<uuid:limit_id>", rules.OneLimit.as_view(), name="limit-detail"),
    path("facilities", places.Facilities.as_view(), name="facility-list"),
    path("facilities/<uuid:facility_id>", places.OneFacility.as_view(), name="facility-detail"),
    path("facilities/<uuid:facility_id>/policies", places.Policies.as_view(), name="policy-list"),
    path(
        "facilities/<uuid:facility_id>/policies/<uuid:policy_id>",
        places.OnePolicy.as_view(),
        name="policy-detail",
    ),
    path(
        "facilities/<uuid:facility_id>/starter-limits",
        places.StarterLimits.as_view(),
        name="starter-limits",
    ),
    path("rooms", places.Rooms.as_view(), name="room-list"),
    path("rooms/<uuid:room_id>", places.OneRoom.as_view(), name="room-detail"),
    path("practitioners", practitioners.Practitioners.as_view(), name="practitioner-list"),
    path(
        "practitioners/<uuid:practitioner_id>",
        practitioners.OnePractitioner.as_view(),
        name="practitioner-detail",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/licences",
        practitioners.Licences.as_view(),
        name="licence-list",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/licences/<uuid:licence_id>",
        practitioners.OneLicence.as_view(),
        name="licence-detail",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/competences",
        practitioners.Competences.as_view(),
        name="competence-list",
    ),
    path(
        "practitioners/<uuid:practitioner_id>/competences/<uuid:competence_id>",
        practitioners.OneCompetence.as_view(),
        name="competence-detail",
    ),
    path("supervisions", practitioners.Supervisions.as_view(), name="supervision-list"),
    path(
        "supervisions/<uuid:supervision_id>",
        practitioners.OneSupervision.as_view(),
        name="supervision-detail",
    ),
    path("staff", staff.StaffList.as_view(), name="staff-list"),
    path("staff/<uuid:staff_id>", staff.StaffAccount.as_view(), name="staff-detail"),
    path("clients/<uuid:client_id>/erasure", record.Erasure.as_view(), name="erasure"),
    path(
        "clients/<uuid:client_id>/erasure/agreement",
        record.ErasureAgreement.as_view(),
        name="erasure-agreement",
    ),
    path("access-log", record.AccessLog.as_view(), name="access-log"),
    path("log/verification", record.LogVerification.as_view(), name="log-verification"),
    path("log/comparison", record.LogComparison.as_view(), name="log-comparison"),
    path("due-work", record.DueWork.as_view(), name="due-work"),
]
