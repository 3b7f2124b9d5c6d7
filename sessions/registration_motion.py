"""What range of motion, the hour and the stretch programme register."""

from __future__ import annotations

from typing import Any

import msgspec
from django.apps import apps
from django.db.models.signals import post_migrate

from clients.record.selectors import record_sections
from practice.core.decisions import installed
from practice.policy.hooks import register_settings
from sessions.catalogue.domain.settings import DoseSettings
from sessions.measurements.domain import event_texts as measurement_texts
from sessions.measurements.domain.follow_up import follow_ups
from sessions.measurements.domain.projections import (
    CIRCUMFERENCES_ROWS,
    GOAL_ROWS,
    POSTURE_ROWS,
    READING_ROWS,
)
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.measurements.domain.swelling_settings import SwellingSettings
from sessions.session_split.domain import event_texts as split_texts
from sessions.session_split.domain.settings import SessionSplitSettings
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.stretches.domain import event_texts as stretch_texts
from sessions.stretches.domain.jobs import RECHECK_JOBS
from sessions.stretches.domain.projections import (
    HOME_EXERCISE_ROWS,
    PRESCRIPTION_ROWS,
    RECHECK_ROWS,
)
from sessions.stretches.domain.reactors import START_PERFORMED_STRETCHES
from sessions.stretches.domain.reminder_hours import ReminderSettings
from sessions.stretches.domain.settings import RecheckSettings
from sessions.stretches.domain.state import STRETCHES, StretchesState

PROJECTIONS = (
    READING_ROWS,
    GOAL_ROWS,
    POSTURE_ROWS,
    CIRCUMFERENCES_ROWS,
    PRESCRIPTION_ROWS,
    RECHECK_ROWS,
    HOME_EXERCISE_ROWS,
)
EVENT_TEXTS = (measurement_texts, stretch_texts, split_texts)


def register() -> None:
    """Called once at start-up, by ``sessions.spec.register``."""
    from sessions.catalogue.services import load_missing_stretches
    from sessions.stretches.services.home_exercises import DISCONTINUE_NARROWED_HOME_EXERCISES
    from sessions.stretches.services.rechecks import ANSWER_RECHECKS, FOLLOW_UP

    installed.add_slices(MEASUREMENTS, STRETCHES, SESSION_SPLITS)
    installed.add_projections(*PROJECTIONS)
    installed.add_event_texts(*(texts.EVENT_TEXTS for texts in EVENT_TEXTS))
    for reactor in (
        START_PERFORMED_STRETCHES,
        ANSWER_RECHECKS,
        DISCONTINUE_NARROWED_HOME_EXERCISES,
    ):
        if reactor not in installed.reactors:
            installed.reactors.append(reactor)
    if FOLLOW_UP not in follow_ups:
        follow_ups.append(FOLLOW_UP)
    if RECHECK_JOBS not in installed.job_plans:
        installed.job_plans.append(RECHECK_JOBS)
    register_settings("measurement", MeasurementSettings)
    register_settings("swelling", SwellingSettings)
    register_settings("rechecks", RecheckSettings)
    register_settings("reminders", ReminderSettings)
    register_settings("doses", DoseSettings)
    register_settings("session_split", SessionSplitSettings)
    record_sections["measurements"] = (MEASUREMENTS, _measurements_of_record)
    record_sections["stretches"] = (STRETCHES, _stretches_of_record)
    post_migrate.connect(
        load_missing_stretches,
        sender=apps.get_app_config("client_sessions"),
        weak=False,
        dispatch_uid="stretches of the catalogue",
    )


def _measurements_of_record(state: MeasurementsState) -> Any:
    """Readings, goals, posture findings and girths of a record as known on a day."""
    return {
        "readings": msgspec.to_builtins(state.readings),
        "goals": msgspec.to_builtins(list(state.goals.values())),
        "posture": msgspec.to_builtins(state.findings),
        "circumferences": msgspec.to_builtins(state.circumferences),
    }


def _stretches_of_record(state: StretchesState) -> Any:
    """Stretches, re-checks and home exercises of a record as known on a day."""
    return {
        "stretches": msgspec.to_builtins(list(state.prescriptions.values())),
        "rechecks": msgspec.to_builtins(list(state.rechecks.values())),
        "home_exercises": msgspec.to_builtins(list(state.home.values())),
    }
