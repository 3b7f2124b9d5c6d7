"""Addresses below /api/v1/."""

from django.urls import path

from sessions.stretches.views import home_exercises, prescriptions, printouts, rechecks

urlpatterns = [
    path(
        "clients/<uuid:client_id>/home-exercises",
        home_exercises.HomeExerciseListView.as_view(),
        name="home-exercise-list",
    ),
    path(
        "clients/<uuid:client_id>/home-exercises/<uuid:home_exercise_id>/discontinuation",
        home_exercises.HomeExerciseDiscontinuationView.as_view(),
        name="home-exercise-discontinuation",
    ),
    path(
        "clients/<uuid:client_id>/stretches",
        prescriptions.PrescriptionListView.as_view(),
        name="stretch-list",
    ),
    path(
        "clients/<uuid:client_id>/stretches/end",
        prescriptions.AllStretchesEndView.as_view(),
        name="stretches-end",
    ),
    path(
        "stretches/<uuid:prescription_id>/start",
        prescriptions.StretchStartView.as_view(),
        name="stretch-start",
    ),
    path(
        "stretches/<uuid:prescription_id>/discharge",
        prescriptions.StretchDischargeView.as_view(),
        name="stretch-discharge",
    ),
    path(
        "stretches/<uuid:prescription_id>/resume",
        prescriptions.StretchResumeView.as_view(),
        name="stretch-resume",
    ),
    path(
        "stretches/<uuid:prescription_id>/end",
        prescriptions.StretchEndView.as_view(),
        name="stretch-end",
    ),
    path(
        "clients/<uuid:client_id>/home-exercises/<uuid:home_exercise_id>/printout",
        printouts.HomeExercisePrintoutView.as_view(),
        name="home-exercise-printout",
    ),
    path("rechecks", rechecks.RecheckListView.as_view(), name="recheck-list"),
    path("rechecks/<uuid:recheck_id>", rechecks.RecheckDetailView.as_view(), name="recheck-detail"),
    path(
        "rechecks/<uuid:recheck_id>/skip", rechecks.RecheckSkipView.as_view(), name="recheck-skip"
    ),
]
