"""What range of motion, the hour and the stretch programme register."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import msgspec
from django.apps import apps
from django.db.models.signals import post_migrate

from clients.selectors.record import record_parts
from practice.domain.decisions import parts
from practice.services.hooks import register_settings
from sessions.domain.catalogue.settings import DoseSettings
from sessions.domain.hour.settings import HourSettings
from sessions.domain.hour.state import HOUR
from sessions.domain.motion.followup import follow_ups
from sessions.domain.motion.projecting import girths_row, goal_row, posture_row, reading_row
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import MOTION, MotionState
from sessions.domain.programme.due import RECHECKS_DUE
from sessions.domain.programme.projecting import (
    home_exercise_row,
    prescription_row,
    recheck_row,
)
from sessions.domain.programme.quiet import ReminderSettings
from sessions.domain.programme.reacting import START_WHAT_WAS_DONE
from sessions.domain.programme.settings import RecheckSettings
from sessions.domain.programme.state import PROGRAMME, ProgrammeState
from sessions.domain.swelling.settings import SwellingSettings

PROJECTORS = (
    reading_row,
    goal_row,
    posture_row,
    girths_row,
    prescription_row,
    recheck_row,
    home_exercise_row,
)
"""Registered as their modules are imported."""


def register() -> None:
    """Called once at start-up, by ``sessions.registration.register``."""
    from sessions.services.catalogue import load_missing_stretches
    from sessions.services.homeexercises import TAKE_BACK_WHAT_NARROWED
    from sessions.services.rechecks import ANSWER_RECHECKS, FOLLOW_UP

    for feature in ("motion", "programme", "hour"):  # registers the history's sentences
        import_module(f"sessions.domain.{feature}.sentences")
    parts.add_slices(MOTION, PROGRAMME, HOUR)
    for reactor in (START_WHAT_WAS_DONE, ANSWER_RECHECKS, TAKE_BACK_WHAT_NARROWED):
        if reactor not in parts.reactors:
            parts.reactors.append(reactor)
    if FOLLOW_UP not in follow_ups:
        follow_ups.append(FOLLOW_UP)
    if RECHECKS_DUE not in parts.due_plans:
        parts.due_plans.append(RECHECKS_DUE)
    register_settings("measurement", MeasurementSettings)
    register_settings("swelling", SwellingSettings)
    register_settings("rechecks", RecheckSettings)
    register_settings("reminders", ReminderSettings)
    register_settings("doses", DoseSettings)
    register_settings("hour", HourSettings)
    record_parts["measured"] = (MOTION, _measured)
    record_parts["stretches"] = (PROGRAMME, _programme)
    post_migrate.connect(
        load_missing_stretches,
        sender=apps.get_app_config("client_sessions"),
        weak=False,
        dispatch_uid="stretches of the catalogue",
    )


def _measured(state: MotionState) -> Any:
    """Readings, goals, posture findings and girths of a record as known on a day."""
    return {
        "readings": msgspec.to_builtins(state.readings),
        "goals": msgspec.to_builtins(list(state.goals.values())),
        "posture": msgspec.to_builtins(state.findings),
        "girths": msgspec.to_builtins(state.girths),
    }


def _programme(state: ProgrammeState) -> Any:
    """Stretches, re-checks and home exercises of a record as known on a day."""
    return {
        "stretches": msgspec.to_builtins(list(state.prescriptions.values())),
        "rechecks": msgspec.to_builtins(list(state.rechecks.values())),
        "home_exercises": msgspec.to_builtins(list(state.home.values())),
    }
