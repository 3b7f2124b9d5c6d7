"""Addresses of range of motion, stretches, re-checks, the catalogue and the hour."""

from django.urls import path

from sessions.api.resources import (
    body,
    catalogue,
    motion,
    programme,
    rechecks,
    sheets,
    split,
    training,
)

CLIENT = "clients/<uuid:client_id>"
STRETCH = "stretches/<uuid:prescription_id>"

urlpatterns = [
    path(f"{CLIENT}/range-of-motion", motion.Readings.as_view(), name="reading-list"),
    path(
        f"{CLIENT}/range-of-motion/picture",
        motion.Picture.as_view(),
        name="reading-picture",
    ),
    path(
        f"{CLIENT}/range-of-motion/<uuid:reading_id>/entered-in-error",
        motion.ReadingInError.as_view(),
        name="reading-in-error",
    ),
    path(f"{CLIENT}/goals", motion.Goals.as_view(), name="goal-list"),
    path(f"{CLIENT}/posture", body.Postures.as_view(), name="posture-list"),
    path(
        f"{CLIENT}/posture/<uuid:finding_id>/entered-in-error",
        body.PostureInError.as_view(),
        name="posture-in-error",
    ),
    path(f"{CLIENT}/girths", body.ArmGirths.as_view(), name="girths-list"),
    path(
        f"{CLIENT}/girths/<uuid:girths_id>/entered-in-error",
        body.GirthsInError.as_view(),
        name="girths-in-error",
    ),
    path(f"{CLIENT}/stretches", programme.Stretches.as_view(), name="stretch-list"),
    path(f"{CLIENT}/home-exercises", programme.HomeExercises.as_view(), name="home-exercise-list"),
    path(
        f"{CLIENT}/home-exercises/<uuid:home_exercise_id>/taken-back",
        programme.HomeExerciseTakenBack.as_view(),
        name="home-exercise-taken-back",
    ),
    path(
        f"{CLIENT}/home-exercises/<uuid:home_exercise_id>/sheet",
        sheets.HomeExerciseSheet.as_view(),
        name="home-exercise-sheet",
    ),
    path(f"{CLIENT}/programme/end", programme.ProgrammeEnd.as_view(), name="programme-end"),
    path(f"{CLIENT}/hours", training.Hours.as_view(), name="hours-done"),
    path(f"{CLIENT}/cardio-zones", training.CardioZones.as_view(), name="cardio-zones"),
    path(f"{CLIENT}/load-suggestion", training.Load.as_view(), name="load-suggestion"),
    path(f"{STRETCH}/start", programme.Start.as_view(), name="stretch-start"),
    path(f"{STRETCH}/discharge", programme.Discharge.as_view(), name="stretch-discharge"),
    path(f"{STRETCH}/resume", programme.Resume.as_view(), name="stretch-resume"),
    path(f"{STRETCH}/end", programme.End.as_view(), name="stretch-end"),
    path("rechecks", rechecks.Rechecks.as_view(), name="recheck-list"),
    path("rechecks/<uuid:recheck_id>", rechecks.OneRecheck.as_view(), name="recheck-detail"),
    path("rechecks/<uuid:recheck_id>/skip", rechecks.SkipRecheck.as_view(), name="recheck-skip"),
    path("stretch-catalogue", catalogue.Catalogue.as_view(), name="catalogue-list"),
    path("stretch-catalogue/<slug:code>", catalogue.OneStretch.as_view(), name="catalogue-detail"),
    path(
        "stretch-catalogue/<slug:code>/versions",
        catalogue.StretchVersions.as_view(),
        name="catalogue-versions",
    ),
    path("sessions/<uuid:session_id>/split", split.SessionHour.as_view(), name="session-split"),
]
